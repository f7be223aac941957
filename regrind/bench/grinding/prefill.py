"""What a grind is prefilled with: the plan's figures, what is left of it, and what was last used."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from django.db.models import Case, Max, QuerySet, When
from django.db.models.functions import Coalesce

from regrind.geometry.units import to_nm
from regrind.record.dimension_words import say_assumed
from regrind.record.find import recent_lines
from regrind.record.kinds import RADIAL
from regrind.record.line_dimensions import assumed_dimensions, tool_of
from regrind.record.models import Line, Piece, Step
from regrind.shop.models import Wheel

from ..from_family import assumed_fields
from ..kinds.registry import kind_of
from ..models import Grind, Inspection, Plan, Reading
from ..readings import length_reading

STEELS = ("HSS", "HSS-Co")
ENDS = ("end", "ball", "point", "chamfer")


@dataclass(frozen=True)
class Aim:
    """What one piece's plan asks for: lengths in nm, None where it does not say; `done`: parts ground so far.

    centre_cutting: as its inspection has it. assumed: fields of its case that rest on the family alone. sets: what else
    a setup card takes from the plan.
    """

    piece: Piece
    plan: Plan | None
    parts: tuple[str, ...] = ()
    done: tuple[str, ...] = ()
    infeed_nm: int | None = None
    end_nm: int | None = None
    gash: bool = False
    centre_cutting: str = ""
    assumed: tuple[str, ...] = ()
    sets: tuple[object, ...] = ()

    @property
    def remaining(self) -> tuple[str, ...]:
        """The parts that are planned and not ground yet."""
        return tuple(part for part in self.parts if part not in self.done)


@dataclass(frozen=True)
class Before:
    """What an inspection read that a grind starts from, by its own reading or that of the piece it follows."""

    diameter_nm: int | None = None
    centre_cutting: str = ""


def aim(pieces: Sequence[Piece], plans: dict[int, Plan]) -> list[Aim]:
    """The aims of pieces that are to be ground, in three queries; five where a family adds what nobody confirmed."""
    done, before, read = _done(pieces), _read_before(plans.values()), _read_quantities(pieces, plans)
    return [
        replace(
            _aim(piece, plans.get(piece.pk), done.get(piece.pk, set()), before),
            assumed=_assume(piece.line, read[piece.pk]) if piece.pk in read else (),
        )
        for piece in pieces
    ]


def _may_assume(line: Line) -> bool:
    kind = kind_of(line.family)
    return bool(assumed_dimensions(line)) or kind.face_only or kind.planner is not None


def _assume(line: Line, read: set[str]) -> tuple[str, ...]:
    """Fields of the case that nobody stated, confirmed or read: the family's, and what the kind takes from a table."""
    return assumed_fields(line, read) + kind_of(line.family).supplied(tool_of(line), read)


def _read_quantities(pieces: Sequence[Piece], plans: dict[int, Plan]) -> dict[int, set[str]]:
    """Piece id -> what was read at the inspection that its plan rests on, where its line or kind may assume values."""
    assuming = [piece for piece in pieces if piece.pk in plans and _may_assume(piece.line)]
    ids = {piece.pk: root_of(plans[piece.pk]).inspection_id or 0 for piece in assuming}
    if not ids:
        return {}
    originals = Inspection.objects.filter(pk__in=ids.values()).values_list("pk", Coalesce("copied_from", "pk"))
    original, read = dict(originals), dict[int, set[str]]()
    for owner, quantity in Reading.every.filter(inspection__in=original.values()).values_list("inspection", "quantity"):
        read.setdefault(owner, set()).add(quantity)
    return {pk: read.get(original.get(row, 0), set()) for pk, row in ids.items()}


def _aim(piece: Piece, plan: Plan | None, done: set[str], read: dict[int, Before]) -> Aim:
    if plan is None:
        return Aim(piece, None)
    before = read.get(plan.inspection_id or 0, Before())
    option, parts = option_of(plan), tuple(plan.grinds.split())
    return Aim(
        piece,
        plan,
        parts,
        tuple(part for part in parts if part in done),
        radial_stock(plan, option, before.diameter_nm) if set(RADIAL) & set(parts) else None,
        plan.cut_back_nm if plan.cut_back_nm and set(ENDS) & set(parts) else None,
        "gash_again" in (*option.get("reasons", ()), *option.get("notes", ())),
        before.centre_cutting,
        sets=_list_sets(plan, option),
    )


SHAPE = ("helix_deg", "primary_relief_deg", "secondary_relief_deg", "primary_land")


def _list_sets(plan: Plan, option: dict[str, Any]) -> tuple[object, ...]:
    """Where the travel stops, and the shape that stylus and indicator are set by: pieces that differ share no card."""
    if not option:
        return (plan.usable_nm,)
    root = root_of(plan)
    tool: dict[str, Any] = json.loads(root.case)["tool"]
    used = {item["field"]: item["value"] for item in json.loads(root.answer)["defaults"]}
    shape = (used.get(name) if tool.get(name) is None else tool[name] for name in SHAPE)
    of_end = sorted((name, str(value)) for name, value in tool.items() if name.startswith(("end_", "dish")))
    chosen = (option.get(name) for name in ("secondary_needed", "corner_form", "corner_size_mm"))
    return (plan.usable_nm, *chosen, *shape, *of_end)


def option_of(plan: Plan) -> dict[str, Any]:
    """The chosen option of the stored answer, {} where nothing was worked out."""
    root = root_of(plan)
    if not root.answer or root.chosen is None:
        return {}
    options: list[dict[str, Any]] = json.loads(root.answer)["options"]
    return options[root.chosen]


def root_of(plan: Plan) -> Plan:
    """The row that holds case and answer: the plan's own, or that of the piece it follows."""
    return cast(Plan, plan.copied_from or plan)


def radius_before_mm(option: dict[str, Any]) -> float:
    """The highest tooth's radius: what the option leaves, and the most that it takes off a tooth."""
    removal = option.get("removal_radial_mm") or option.get("removal_radial_range_mm") or [0.0]
    radius_mm: float = option["diameter_mm"] / 2 + max([0.0, *removal])
    return radius_mm


def radial_stock(plan: Plan, option: dict[str, Any], before_nm: int | None = None) -> int | None:
    """The radial stock of the highest tooth in nm, down to the diameter that the plan sets; None where not known.

    before_nm: the diameter as inspected, for a plan without an option.
    """
    if not plan.diameter_nm:
        return None
    if "grind" in option and option.get("removal_radial_mm") is not None:
        return to_nm(option["removal_radial_mm"])
    if option and "grind" not in option:
        stock_nm: float = radius_before_mm(option) * 1e6 - plan.diameter_nm / 2
        return max(0, round(stock_nm))
    return max(0, (before_nm - plan.diameter_nm) // 2) if before_nm else None


def _read_before(plans: Iterable[Plan]) -> dict[int, Before]:
    """By inspection id; one query."""
    ids = {plan.inspection_id for plan in plans if plan.inspection_id}
    diameter = Coalesce(
        length_reading("diameter", inspection="pk"), length_reading("diameter", inspection="copied_from")
    )
    rows = Inspection.objects.filter(pk__in=ids).values_list(
        "pk", diameter, "centre_cutting", "copied_from__centre_cutting"
    )
    return {pk: Before(nm, read or other or "") for pk, nm, read, other in rows}


def followed(pieces: Sequence[Piece]) -> list[Grind]:
    """What was ground on pieces since they last became to grind, a setup that another is to follow; oldest first."""
    since = dict(Step.objects.filter(piece__in=pieces).order_by().values_list("piece").annotate(last=Max("event")))
    rows = Grind.objects.filter(piece__in=pieces).order_by("pk")
    return [row for row in rows if row.piece_id in since and row.event_id > since[row.piece_id]]


def _done(pieces: Sequence[Piece]) -> dict[int, set[str]]:
    done: dict[int, set[str]] = {}
    for row in followed(pieces):
        done.setdefault(row.piece_id, set()).update(row.grinds.split())
    return done


def agreed(values: Iterable[int | None]) -> int | None:
    """The one value that all share, None where they differ or there is none."""
    different = set(values)
    return different.pop() if len(different) == 1 else None


def differ(values: Iterable[int | None]) -> bool:
    return len(set(values)) > 1


def suits(material: str, wheel: Wheel) -> bool:
    """Diamond for carbide, CBN for high-speed steel (common practice); other pairs are left alone."""
    return wheel.abrasive != wrong_abrasive(material)


def say_wrong_wheel(material: str, wheel: Wheel | None) -> str:
    """Why a wheel is not for this material, '' where it may be used or none is chosen."""
    if wheel is None or suits(material, wheel):
        return ""
    if wheel.abrasive == "diamond":
        return "Diamond wears fast on steel: CBN is for high-speed steel."
    return "CBN is for steel: diamond is for carbide."


def ask_about_wheel(line: Line, wheel: Wheel | None) -> str:
    """The same for a line's tools; it says where their material is only assumed."""
    wrong, assumed = say_wrong_wheel(tool_of(line).material, wheel), say_assumed(line, "material")
    return f"{wrong} These tools: {assumed}." if wrong and assumed else wrong


def wrong_abrasive(material: str) -> str:
    return "diamond" if material in STEELS else "CBN" if material in ("carbide", "tipped") else ""


def name_end(parts: Iterable[str]) -> str:
    """What is cut back of these parts: a drill's point, a reamer's chamfer, a ball, else the end."""
    return next((part for part in parts if part in ENDS), "end")


def next_part(aims: Sequence[Aim]) -> str:
    """The part that is ground next, "" where nothing is left to grind."""
    return next((part for one in aims for part in one.remaining), "")


def of_part_first(grinds: QuerySet[Grind], part: str) -> QuerySet[Grind]:
    """The newest first, but a grind of this part before one of another: an end is not offered the sides' wheel."""
    return grinds.order_by(Case(When(grinds__startswith=part, then=0), default=1), "-pk")


def last_used(line: Line, aims: Sequence[Aim]) -> dict[str, int | None]:
    """Wheel and work holding, as last used for this family and the part that comes next; else the wheel that was last
    used for that part of tools of such a material, and no holding: a collet of another size fits nothing. The list of
    setups offers the same."""
    part = next_part(aims)
    grinds = (
        Grind.objects.filter(wheel__in_use=True)
        .exclude(wheel__abrasive=wrong_abrasive(tool_of(line).material))
        .order_by("-pk")
    )
    of_family = grinds.filter(piece__line__in=recent_lines(line.family_id))
    of_these = of_part_first(of_family, part).first()
    last = of_these or grinds.filter(grinds__startswith=part).first()
    if last is None:
        return {}
    return {
        "wheel": last.wheel_id,
        "holding": of_these.holding_id if of_these else None,
        "of_these_tools": of_these is not None,
    }
