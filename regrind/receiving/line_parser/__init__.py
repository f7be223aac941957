"""What a person says of a box of tools, understood field by field: `12 x 1/4 3fl carbide 30° AlTiN`."""

from .parsing import MOST_LINES, MOST_PIECES, parse_line, parse_lines, split_lines
from .scan import LONGEST, Ask, ParsedLine, plain_text

__all__ = [
    "LONGEST",
    "MOST_LINES",
    "MOST_PIECES",
    "Ask",
    "ParsedLine",
    "parse_line",
    "parse_lines",
    "plain_text",
    "split_lines",
]
