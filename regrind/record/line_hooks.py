"""Lines that are split, merged or moved: what other rooms keep about a line goes along, or forbids it.

Each function is called within the event, with the batch locked, and may refuse. Rooms register theirs once, when they
are loaded.
"""

from collections.abc import Callable

from regrind.shop.models import Event

from .models import Line

AfterSplit = Callable[[Event, Line, Line], None]  # the event, the line, the new line with some of its pieces
BeforeMerge = Callable[[Line, Line], None]  # the line whose pieces go into the other, and that one
BeforeMove = Callable[[Line], None]  # the line that goes to another batch

AFTER_SPLIT: list[AfterSplit] = []
BEFORE_MERGE: list[BeforeMerge] = []
BEFORE_MOVE: list[BeforeMove] = []


def on_lines(*, split: AfterSplit, merge: BeforeMerge, move: BeforeMove) -> None:
    """Register what a room does about each of the three; a second call with the same changes nothing."""
    if split not in AFTER_SPLIT:
        AFTER_SPLIT.append(split)
        BEFORE_MERGE.append(merge)
        BEFORE_MOVE.append(move)
