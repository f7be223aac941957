"""Where a page ends: a heading goes on to the next one only where what follows cannot begin below it."""

from collections.abc import Sequence

from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Paragraph, Table

MOST_PT = 480.0  # never asks for more than this: any page has as much below its letterhead
ROOM_PT = 100_000.0
LINES = 2


class Begins(CondPageBreak):
    """A page break unless these stand here one below the other, the last of them as far as it must to begin."""

    def __init__(self, flowables: Sequence[Flowable]) -> None:
        super().__init__(0)
        self.flowables = list(flowables)

    def wrap(self, room: float, height: float) -> tuple[float, float]:
        """Measure for the width there is; sizes in points."""
        self.height = self.needed(room)
        made: tuple[float, float] = super().wrap(room, height)
        return made

    def needed(self, room: float) -> float:
        """The height in points that all of it takes up to where the last one may break."""
        *heads, last = self.flowables
        return min(sum(_whole(one, room) for one in heads) + _least(last, room), MOST_PT)


def _whole(one: Flowable, room: float) -> float:
    return float(one.wrap(room, ROOM_PT)[1] + one.getSpaceBefore() + one.getSpaceAfter())


def _least(one: Flowable, room: float) -> float:
    """The height with which a flowable begins: two lines of a paragraph, a table's head and what is kept below it."""
    if isinstance(one, Begins):
        return one.needed(room)
    whole = _whole(one, room)
    if isinstance(one, Table):
        heights: list[float] = one._rowHeights  # type: ignore[attr-defined]  # missing in the stub
        return sum(heights[: getattr(one, "begins", 1)])
    if isinstance(one, Paragraph):
        return min(whole, float(one.getSpaceBefore() + LINES * one.style.leading))
    return whole


class Document(BaseDocTemplate):
    """A document whose headings move on with the beginning of what follows. ReportLab keeps a heading with the whole
    of it, and leaves most of a page empty before a long table."""

    def handle_keepWithNext(self, flowables: list[Flowable]) -> None:  # noqa: N802 (ReportLab's name)
        """Put a break in front of the headings that the story goes on with, and let them stand by themselves."""
        heads = 0
        while heads < len(flowables) and flowables[heads].getKeepWithNext():  # type: ignore[no-untyped-call]  # the stub is bare
            heads += 1
        for one in flowables[:heads]:
            one.keepWithNext = 0
        if 0 < heads < len(flowables):
            flowables.insert(0, Begins(flowables[: heads + 1]))
