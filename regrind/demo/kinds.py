"""What the demo's bench reads on tools that are read in another way than a square end mill."""

import json
import random
from collections.abc import Callable

from regrind.bench.grinding.prefill import option_of, root_of
from regrind.bench.kinds.registry import kind_of
from regrind.bench.models import Plan
from regrind.bench.readings import Angle
from regrind.bench.revisions import newest
from regrind.geometry.units import Typed, Unit
from regrind.record.models import Family, Piece
from regrind.shop.models import Gauge

from .shop import typed

TOOTH_SHARE = 0.18  # a rougher's tooth, of its diameter; invented, of the size that is usual


def read_as_its_kind(family: Family, readings: dict[str, Typed], depth_mm: float, unit: Unit) -> dict[str, Typed]:
    """A tool that is ground on its face is read by how far back from the edge it is worn, all along the flute."""
    if not kind_of(family).face_only:
        return readings
    plain = {name: readings[name] for name in ("diameter", "flute_length")}
    width_mm = (family.nominal_nm or 0) / 1e6 * TOOTH_SHARE
    return plain | {"back": typed(depth_mm * 2, unit), "tooth_width": typed(width_mm, unit)}


def read_point(family: Family, chance: random.Random, unit: Unit) -> dict[str, Typed]:
    """A worn drill: its margin, now and then a chipped corner, and the flute; invented, of the size that is usual."""
    size_mm = (family.nominal_nm or 0) / 1e6
    margin_mm = size_mm * chance.uniform(0.05, 0.15)
    chip = {"corner_chip": typed(margin_mm * 1.4, unit)} if chance.random() < 0.3 else {}
    return {"worn_margin": typed(margin_mm, unit), "flute_length": typed(size_mm * 8, unit)} | chip


def read_chamfer(family: Family, chance: random.Random, unit: Unit) -> dict[str, Typed]:
    """A worn reamer: its margins behind the chamfer, the chamfer and the flute; invented, of the size that is usual."""
    size_mm = (family.nominal_nm or 0) / 1e6
    worn = {"worn_margin": typed(chance.uniform(0.3, 0.8), unit), "chamfer_length": typed(size_mm * 0.12, unit)}
    return worn | {"flute_length": typed(size_mm * 3.8, unit)}


def read_periphery(family: Family, chance: random.Random, unit: Unit) -> dict[str, Typed]:
    """A worn cutter with teeth round a disc: its width and the deepest mark; invented, of the size that is usual."""
    width = 0.02 if family.kind == "saw" else 0.1  # of the diameter
    size_mm = (family.nominal_nm or 0) / 1e6
    return {"width": typed(size_mm * width, unit), "rim_depth": typed(chance.uniform(0.1, 0.3), unit)}


def read_face(family: Family, chance: random.Random, unit: Unit) -> dict[str, Typed]:
    """A worn countersink: the widest wear land at the rim; invented, of the size that is usual."""
    return {"rim_land": typed(chance.uniform(0.15, 0.35), unit)}


def read_front(family: Family, chance: random.Random, unit: Unit) -> dict[str, Typed]:
    """A worn tap: its front, a chamfer of four threads and the thread; invented, of the size that is usual."""
    size_mm = (family.nominal_nm or 0) / 1e6
    lengths = {"front_wear": chance.uniform(0.3, 1.0), "chamfer_length": size_mm * 0.6, "thread_length": size_mm * 2.7}
    return {name: typed(mm, unit) for name, mm in lengths.items()}


def check_front(piece: Piece, unit: Unit) -> dict[str, Typed]:
    return {"chamfer_length": typed((piece.line.family.nominal_nm or 0) / 1e6 * 0.6, unit)}


def check_point(piece: Piece, unit: Unit) -> dict[str, Typed]:
    size_mm = (piece.line.family.nominal_nm or 0) / 1e6
    return {"overall": typed(round(size_mm * 13), unit), "lip_height": typed(0.02, unit)}


def check_chamfer(piece: Piece, unit: Unit) -> dict[str, Typed]:
    return _as_planned(piece, unit, chamfer_length="chamfer_length_mm")


def check_width(piece: Piece, unit: Unit) -> dict[str, Typed]:
    return _as_planned(piece, unit, width="width_mm")


def _as_planned(piece: Piece, unit: Unit, **names: str) -> dict[str, Typed]:
    """Readings of the check as the option has them; nothing where no plan has one."""
    option = option_of(newest(Plan, [piece])[piece.pk])
    return {name: typed(option[key], unit) for name, key in names.items() if option.get(key)}


Worn = Callable[[Family, random.Random, Unit], dict[str, Typed]]
DISCS = ("sidecutter", "saw", "keyseat")
READ: dict[str, Worn] = {
    "drill": read_point,
    "reamer": read_chamfer,
    **dict.fromkeys(DISCS, read_periphery),
    "chamfer": read_face,
    "tap": read_front,
}
CHECKED: dict[str, Callable[[Piece, Unit], dict[str, Typed]]] = {
    "drill": check_point,
    "reamer": check_chamfer,
    **dict.fromkeys(DISCS, check_width),
    "chamfer": check_point,
    "tap": check_front,
}


def has_plan(family: Family) -> bool:
    """Whether such a tool is planned in a way of its own."""
    return kind_of(family).planner is not None


def read_angle(piece: Piece) -> dict[str, Angle]:
    """The point angle as it was planned; nothing where no plan says one."""
    plan = newest(Plan, [piece])[piece.pk]
    tool = json.loads(root_of(plan).case or "{}").get("tool", {})
    degrees = tool.get("grind_point_angle_deg") or tool.get("point_angle_deg")
    return {"point_angle": Angle(round(100 * degrees), f"{degrees:g}")} if degrees else {}


def read_corner(piece: Piece, names: str, unit: Unit, chance: random.Random) -> dict[str, Typed]:
    """The corner's size after, within a few micrometres of what was planned; nothing where it was not ground."""
    if not {"corner", "ball"} & set(names.split()):
        return {}
    size_mm = option_of(newest(Plan, [piece])[piece.pk]).get("corner_size_mm") or 0.0
    return {"corner_size": typed(size_mm + chance.uniform(-0.004, 0.004), unit)} if size_mm else {}


def gauge(measures: str) -> Gauge | None:
    """The micrometer of the shop's usual kind; of two V-anvils the 60° one, which fits three teeth."""
    gauges = Gauge.objects.filter(what=measures)
    return gauges.filter(name__contains="60°").first() or gauges.first()
