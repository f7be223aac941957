"""Which bench kind a kind of tool has; a further one is one entry here."""

from regrind.record.models import Family

from . import ball, radius, rougher, square
from .kind import BenchKind

KINDS = {"square": square.KIND, "radius": radius.KIND, "ball": ball.KIND, "rougher": rougher.KIND}
PLAIN = BenchKind()
OF_KINDS = tuple(sorted({name for kind in KINDS.values() for name in kind.readings}))  # asked of some kinds alone


def kind_of(family: Family) -> BenchKind:
    """The bench kind of a family, one that adds nothing where the kind has none."""
    return KINDS.get(family.kind, PLAIN)
