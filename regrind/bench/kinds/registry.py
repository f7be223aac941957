"""Which bench kind a kind of tool has; a further one is one entry here."""

from regrind.record.models import Family

from . import ball, countersink, cutter, drill, radius, reamer, rougher, saw, square, tap
from .kind import BenchKind

KINDS = {
    "square": square.KIND,
    "radius": radius.KIND,
    "ball": ball.KIND,
    "rougher": rougher.KIND,
    "drill": drill.KIND,
    "reamer": reamer.KIND,
    "sidecutter": cutter.KIND,
    "keyseat": cutter.NECKED,
    "saw": saw.KIND,
    "chamfer": countersink.KIND,
    "tap": tap.KIND,
}
PLAIN = BenchKind()
_PLANNERS = [kind.planner for kind in KINDS.values() if kind.planner]
# how deep the damage is, where that is no depth
KIND_DAMAGE = tuple(dict.fromkeys(name for planner in _PLANNERS for name in planner.asked))
OF_KINDS = tuple(  # asked of some kinds alone
    sorted(
        {name for kind in KINDS.values() for name in kind.readings}
        | {name for planner in _PLANNERS for name in planner.more}
    )
)


def kind_of(family: Family) -> BenchKind:
    """The bench kind of a family, one that adds nothing where the kind has none."""
    return KINDS.get(family.kind, PLAIN)


def is_planned(family: Family) -> bool:
    """Whether the plan works this kind out, as an end mill or in its own way."""
    return family.kind_data.computed or kind_of(family).planner is not None
