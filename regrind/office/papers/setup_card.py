"""The setup card of a line, from its stored plan and grind: what is not on record is a line to write on."""
import dataclasses
from datetime import date
from typing import Any

from regrind.bench.models import Grind
from regrind.geometry import units
from regrind.paper import values
from regrind.record.models import Line, Piece
from regrind.shop.acting import Refusal
from regrind.shop.models import Holding, Wheel

from .common import Rows, exact, gather, heading, tool_name

ANGLES = {"relief": "primary_relief_deg", "secondary_relief": "secondary_relief_deg"}


def setup_sheet(line: Line, revision: int, dated: date) -> values.SetupSheet:
    """The card as a paper of its own. Refusal where nothing of the line was planned or ground yet."""
    pieces = list(line.pieces.select_related("batch", "line__family", "line__batch__customer"))
    card = setup_card(pieces, gather(pieces))
    if card is None:
        raise Refusal("Nothing of this line is planned to be ground yet: there is no setup card.")
    card = dataclasses.replace(card, title=f"Line {line.number} · {tool_name(line)}")
    return values.SetupSheet(heading(line.batch, str(line), revision, dated), (card,))


def setup_card(pieces: list[Piece], rows: Rows) -> values.SetupCard | None:
    """What one setup for these pieces is known to need; None where none of them is planned or ground."""
    mine = [p for p in pieces if (plan := rows.plans.get(p.pk)) and plan.decision == "grind"]
    if not mine:
        return None
    first = next((p for p in mine if rows.worked_out(p)[1]), mine[0])
    ground = next((rows.grinds[p.pk] for p in mine if p.pk in rows.grinds), None)
    return values.SetupCard(title="", number=str(first.line), **_planned(first, rows), **_ground(ground))


def _planned(piece: Piece, rows: Rows) -> dict[str, Any]:
    """Relief and the drop it gives over the planned land, as the plan stored them; assumed ones say so."""
    answer, option = rows.worked_out(piece)
    given = rows.case(piece).get("tool", {})
    defaults = {default["field"]: default["value"] for default in answer.get("defaults", [])}
    told: dict[str, Any] = {name: _angle(given.get(field), defaults.get(field)) for name, field in ANGLES.items()}
    if option.get("heel_drop_mm") and option.get("primary_land_mm"):
        told |= {"drop": exact(units.to_nm(option["heel_drop_mm"])),
                 "drop_at": exact(units.to_nm(option["primary_land_mm"])), "drop_how": "at the heel of the land"}
    return told


def _angle(given: float | None, assumed: float | None) -> values.Angle | None:
    degrees = given if given is not None else assumed
    return None if degrees is None else values.Angle(round(degrees * 100), assumed=given is None)


def _ground(grind: Grind | None) -> dict[str, Any]:
    """Wheel, holding, directions and infeed as they were when it was ground; blanks before."""
    if grind is None:
        return {}
    wheel = Wheel.objects.filter(pk=grind.wheel_id or 0).first()
    holding = Holding.objects.filter(pk=grind.holding_id or 0).first()
    return {"wheel": _wheel_words(wheel) if wheel else "", "holding": holding.name if holding else "",
            "wheel_truing": exact(wheel.trued_runout_nm) if wheel else None,
            "speed": values.WheelSpeed(marked_max_rpm=wheel.marked_maximum_rpm if wheel else None),
            "direction_rough": grind.get_roughing_display() if grind.roughing else "",
            "direction_finish": grind.get_finishing_display() if grind.finishing else "",
            "reversed_finish": grind.finishing == "into_edge", "infeed_rough": exact(grind.infeed_radial_nm)}


def _wheel_words(wheel: Wheel) -> str:
    most = f"marked maximum {wheel.marked_maximum_rpm} rev/min" if wheel.marked_maximum_rpm else ""
    return ", ".join(part for part in (wheel.name, wheel.shape, wheel.grit, wheel.bond, most) if part)
