"""What a grind is prefilled with: the plan's figures, what is left of it, and what was last used."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, cast

from django.db.models import Max
from django.db.models.functions import Coalesce

from regrind.record.find import recent_lines
from regrind.record.models import Line, Piece, Step
from regrind.shop.models import Person, Wheel

from ..models import Grind, Inspection, Plan
from ..readings import length_reading

STEELS = ("HSS", "HSS-Co")
ENDS = ("end", "point", "lead")


@dataclass(frozen=True)
class Aim:
    """What one piece's plan asks for: lengths in nm, None where it does not say; `done`: parts ground so far."""

    piece: Piece
    plan: Plan | None
    parts: tuple[str, ...] = ()
    done: tuple[str, ...] = ()
    infeed_nm: int | None = None
    end_nm: int | None = None
    gash: bool = False

    @property
    def left(self) -> tuple[str, ...]:
        return tuple(part for part in self.parts if part not in self.done)


def aim(pieces: Sequence[Piece], plans: dict[int, Plan]) -> list[Aim]:
    """The aims of pieces that are to grind, in three queries."""
    done, seen = _done(pieces), _inspections(plans.values())
    found = []
    for piece in pieces:
        plan = plans.get(piece.pk)
        if plan is None:
            found.append(Aim(piece, None))
            continue
        option = option_of(plan)
        parts = tuple(plan.grinds.split())
        found.append(
            Aim(
                piece,
                plan,
                parts,
                tuple(p for p in parts if p in done.get(piece.pk, set())),
                _infeed(plan, option, seen) if "sides" in parts else None,
                plan.cut_back_nm if plan.cut_back_nm and set(ENDS) & set(parts) else None,
                "gash_again" in (*option.get("reasons", ()), *option.get("notes", ())),
            )
        )
    return found


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


def _infeed(plan: Plan, option: dict[str, Any], seen: dict[int, int]) -> int | None:
    """The radial stock of the highest tooth, down to the diameter that the plan sets."""
    if not plan.diameter_nm:
        return None
    if option:
        stock_nm: float = radius_before_mm(option) * 1e6 - plan.diameter_nm / 2
        return max(0, round(stock_nm))
    before = seen.get(plan.inspection_id or 0)
    return max(0, (before - plan.diameter_nm) // 2) if before else None


def _inspections(plans: Iterable[Plan]) -> dict[int, int]:
    """Inspection id -> diameter, by its own reading or that of the piece it follows."""
    ids = {plan.inspection_id for plan in plans if plan.inspection_id}
    rows = Inspection.objects.filter(pk__in=ids).values_list(
        "pk",
        Coalesce(length_reading("diameter", inspection="pk"), length_reading("diameter", inspection="copied_from")),
    )
    return {pk: nm for pk, nm in rows if nm}


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
    """The one value that all share, None where they differ or nothing is said."""
    found = set(values)
    return found.pop() if len(found) == 1 else None


def differ(values: Iterable[int | None]) -> bool:
    return len(set(values)) > 1


def suits(material: str, wheel: Wheel) -> bool:
    """Diamond for carbide, CBN for high-speed steel (common practice); nothing is said of other pairs."""
    return wheel.abrasive != wrong_abrasive(material)


def wrong_abrasive(material: str) -> str:
    return "diamond" if material in STEELS else "CBN" if material in ("carbide", "tipped") else ""


def last_used(line: Line, by: Person) -> dict[str, int | None]:
    """Wheel and work holding, as this person last used them for this family, else anyone, else this person at all."""
    grinds = (
        Grind.objects.filter(wheel__in_use=True)
        .exclude(wheel__abrasive=wrong_abrasive(line.family.material))
        .order_by("-pk")
    )
    of_family = grinds.filter(piece__line__in=recent_lines(line.family_id))
    last = of_family.filter(event__by=by).first() or of_family.first() or grinds.filter(event__by=by).first()
    return {"wheel": last.wheel_id, "holding": last.holding_id} if last else {}
