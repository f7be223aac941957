"""What a person says of a box of tools, understood field by field: `12 x 1/4 3fl carbide 30° AlTiN`."""

from .reading import MOST_LINES, MOST_PIECES, understand, understand_all
from .scan import Said

__all__ = ["MOST_LINES", "MOST_PIECES", "Said", "understand", "understand_all"]
