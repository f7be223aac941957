"""Print an address as a QR code in the terminal: python -m scripts.show_code ADDRESS"""

import io
import sys

import segno

WHITE_ON_BLACK, AS_BEFORE = "\x1b[97;40m", "\x1b[0m"


def draw_code(address: str, encoding: str) -> str:
    """The code as text: two rows a line where the terminal has half blocks, else with colours only."""
    out = io.StringIO()
    code = segno.make(address, error="m", micro=False)
    code.terminal(out, compact=True)
    try:
        out.getvalue().encode(encoding)
    except UnicodeEncodeError:
        out = io.StringIO()
        code.terminal(out)
        return out.getvalue()
    # Colours are said, or a light terminal would show dark and light exchanged, which not every reader takes.
    lines = filter(str.strip, out.getvalue().splitlines())
    return "".join(f"{WHITE_ON_BLACK}{line}{AS_BEFORE}\n" for line in lines)


if __name__ == "__main__":
    print(draw_code(sys.argv[1], sys.stdout.encoding or "ascii"), flush=True)
