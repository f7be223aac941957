"""Format our own CSS and JavaScript: python -m scripts.format_static [--check].

With --check nothing is written: files that would change are named, and the exit code is 1.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import cssbeautifier
import jsbeautifier

ROOT = Path(__file__).resolve().parent.parent
MOST_ROUNDS = 5


def css_options() -> jsbeautifier.BeautifierOptions:
    options = cssbeautifier.default_options()
    options.indent_size, options.end_with_newline = 2, True
    return options


def js_options() -> jsbeautifier.BeautifierOptions:
    options = jsbeautifier.default_options()
    options.indent_size, options.end_with_newline, options.wrap_line_length = 2, True, 120
    return options


def settle(format_once: Callable[[str], str], text: str) -> str:
    """The text once formatting it again changes nothing: js-beautify moves some comments in a second round."""
    for _ in range(MOST_ROUNDS):
        text, before = format_once(text), text
        if text == before:
            return text
    raise ValueError("the formatter never comes to rest on this file")


def format_css(text: str) -> str:
    return settle(lambda part: cssbeautifier.beautify(part, css_options()), text)


def format_js(text: str) -> str:
    return settle(lambda part: jsbeautifier.beautify(part, js_options()), text)


FORMATTERS = {".css": format_css, ".js": format_js}


def find_files(folder: Path) -> list[Path]:
    """Every CSS and JavaScript file under `folder`, but for what is vendored."""
    paths = (path for path in folder.rglob("*") if path.suffix in FORMATTERS)
    return sorted(path for path in paths if "vendor" not in path.relative_to(folder).parts)


def format_files(folder: Path, *, check: bool) -> list[Path]:
    """The files that were not formatted; they are written formatted unless `check`."""
    changed = []
    for path in find_files(folder):
        text = path.read_text(encoding="utf-8")
        formatted = FORMATTERS[path.suffix](text)
        if formatted != text:
            changed.append(path)
            if not check:
                path.write_text(formatted, encoding="utf-8", newline="\n")
    return changed


def main(arguments: list[str]) -> int:
    if arguments not in ([], ["--check"]):
        raise SystemExit(__doc__)
    check = bool(arguments)
    changed = format_files(ROOT / "static", check=check)
    for path in changed:
        print(f"{'would format' if check else 'formatted'} {path.relative_to(ROOT).as_posix()}")
    return 1 if check and changed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
