"""The setup card of a line: the figures of the bench's own card, for the wheel that it was or is last ground with.

What the bench's card refuses, or nobody recorded, is left as a line to write on.
"""

import dataclasses
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import OuterRef, Subquery

from regrind.bench.grinding.card import Card, set_up, what_changes
from regrind.bench.grinding.prefill import Aim, aim
from regrind.bench.grinding.views import alike
from regrind.bench.grinding.wheel import find_speed
from regrind.bench.models import Grind
from regrind.geometry import units
from regrind.geometry.passes import Passes
from regrind.paper import values
from regrind.paper.setup_card import card_facts
from regrind.record.find import recent_lines
from regrind.record.models import Family, Line, Piece
from regrind.shop.events import Refusal
from regrind.shop.models import Wheel
from regrind.shop.owner.settings import shop_settings

from .common import Rows, exact, gather, heading, spans, tool_name

SECONDARY_NEEDED = "The land will be wider than usual: grind the secondary relief again."
TURNS = {"rough": "down onto the stylus", "finish": "reversed, into the edge"}


@dataclasses.dataclass(frozen=True)
class Setups:
    """What the cards of a batch rest on: each planned piece's aim, and by family the grind whose wheel is taken."""

    aims: list[Aim]
    grinds: dict[int, Grind]
    distance_nm: int

    def cards(self, pieces: Sequence[Piece], rows: Rows) -> list[values.SetupCard]:
        """A card for each set of figures among these pieces of one line; none where nothing is planned."""
        piece_ids = {piece.pk for piece in pieces}
        lots = alike([aimed for aimed in self.aims if aimed.piece.pk in piece_ids])
        cards = self.of_lots(lots, rows)
        changes = what_changes([self._figures(aimed) for aimed, _ in lots])
        difference = f"The other cards of this line differ in {', '.join(changes)}." if changes else ""
        return [dataclasses.replace(card, steps=(*card.steps, difference)) if difference else card for card in cards]

    def of_lots(self, lots: Sequence[tuple[Aim, Sequence[Piece]]], rows: Rows) -> list[values.SetupCard]:
        """The card of each of these lots, in their order."""
        return [self._card(self._figures(aimed), same, rows) for aimed, same in lots]

    def tell_apart(
        self, card: values.SetupCard, others: Sequence[values.SetupCard], how: values.Style
    ) -> tuple[str, ...]:
        """In words, what is set otherwise than on a card for the pieces of other cards of the same setup."""
        differences = []
        for other in others:
            was = dict(card_facts(card, how))
            new = [
                f"{name[:1].lower()}{name[1:]} {value}"
                for name, value in card_facts(other, how)
                if value and value != was.get(name)
            ]
            differences += [f"{other.title}: {'; '.join(new)}."] if new else []
        return tuple(differences)

    def _grind(self, aimed: Aim) -> Grind | None:
        return self.grinds.get(aimed.piece.line.family_id)

    def _figures(self, aimed: Aim) -> Card:
        grind = self._grind(aimed)
        return set_up(
            aimed, grind.wheel if grind else None, self.distance_nm / 1e6, aimed.piece.line.batch.customer.unit
        )

    def _card(self, card: Card, same: Sequence[Piece], rows: Rows) -> values.SetupCard:
        grind = self._grind(card.aim)
        here, sides = grind is not None and grind.piece_id in rows.grinds, "sides" in card.aim.parts
        return values.SetupCard(
            spans(same),
            number=str(same[0].line),
            sides=sides,
            steps=_steps(card, grind.wheel if grind else None),
            **_sides(card, self.distance_nm, rows),
            **_wheel(grind, here, sides),
        )


def find_setups(pieces: Sequence[Piece], rows: Rows) -> Setups:
    """In a fixed number of queries."""
    planned = [p for p in pieces if (plan := rows.plans.get(p.pk)) and plan.decision == "grind"]
    families = {piece.line.family_id for piece in planned}
    last = Grind.objects.filter(piece__line__in=recent_lines(OuterRef(OuterRef("pk"))), wheel__in_use=True)
    used = (
        Family.objects.filter(pk__in=families)
        .annotate(last=Subquery(last.order_by("-pk").values("pk")[:1]))
        .filter(last__isnull=False)
        .values_list("pk", "last")
    )
    keys = dict(used) | {p.line.family_id: rows.grinds[p.pk].pk for p in planned if p.pk in rows.grinds}
    grinds = Grind.objects.select_related("wheel", "holding").in_bulk(keys.values())
    return Setups(
        aim(planned, rows.plans),
        {family: grinds[key] for family, key in keys.items()},
        shop_settings().stylus_distance_nm,
    )


def setup_sheet(line: Line, revision: int, dated: date) -> values.SetupSheet:
    """The cards of a line as a paper of its own. Refusal where nothing of it is planned to be ground."""
    pieces = list(line.pieces.select_related("batch", "line__family", "line__batch__customer"))
    rows = gather(pieces)
    cards = find_setups(pieces, rows).cards(pieces, rows)
    if not cards:
        raise Refusal("Nothing of this line is planned to be ground yet: there is no setup card.")
    named = [dataclasses.replace(card, title=f"{card.title} · {tool_name(line)}") for card in cards]
    return values.SetupSheet(heading(line.batch, str(line), revision, dated), tuple(named))


def _sides(card: Card, distance_nm: int, rows: Rows) -> dict[str, Any]:
    """The figures for grinding the sides, as far as the bench's card has them."""
    if card.relief_rad is None or card.relief_deg is None:
        return {"travel_stop": _mm(card.travel_mm)}
    figures: dict[str, Any] = {
        "relief": values.Angle(round(card.relief_deg * 100), assumed="primary_relief_deg" in card.assumed),
        "secondary_relief": _secondary(card, rows),
        "travel_stop": _mm(card.travel_mm),
    }
    if card.drop and card.drop_over_mm:
        figures |= {"drop": _mm(card.drop.drop_mm), "drop_at": _mm(card.drop_over_mm), "drop_how": "along the tangent"}
    if card.stylus:
        figures |= {"stylus_height": _mm(card.stylus.tip_below_mm), "stylus_lag": exact(distance_nm)}
    if card.passes:
        figures |= {
            "infeed_rough": _fine(card.passes.rough_infeed_radial_mm) if card.passes.rough else None,
            "infeed_finish": _fine(card.passes.finish_infeed_radial_mm) if card.passes.finish else None,
        }
    return figures


def _mm(value: float | None) -> values.Length | None:
    return None if value is None else exact(units.to_nm(value))


def _fine(mm: float) -> values.Length:
    """An infeed to the places that the bench's screen gives it: rounded further, the passes would not add up."""
    return values.Length(units.to_nm(mm), 5, 4)


def _secondary(card: Card, rows: Rows) -> values.Angle | None:
    stated = rows.case(card.aim.piece).get("tool", {}).get("secondary_relief_deg")
    assumed = {d["field"]: d["value"] for d in rows.worked_out(card.aim.piece)[0].get("defaults", [])}
    degrees = stated if stated is not None else assumed.get("secondary_relief_deg")
    return None if degrees is None else values.Angle(round(degrees * 100), assumed=stated is None)


def _wheel(grind: Grind | None, here: bool, sides: bool) -> dict[str, Any]:
    """Wheel and holding: as this line was ground, else as the family last was. The marked maximum always stands."""
    turns: dict[str, Any] = (
        {"direction_rough": TURNS["rough"], "direction_finish": TURNS["finish"], "reversed_finish": True}
        if sides
        else {}
    )
    if grind is None or grind.wheel is None:
        return turns
    wheel, holding, proposed = grind.wheel, grind.holding, "" if here else " (last used)"
    if here and sides:
        turns = {
            "direction_rough": grind.get_roughing_display() if grind.roughing else "",
            "direction_finish": grind.get_finishing_display() if grind.finishing else "",
            "reversed_finish": grind.finishing == "into_edge",
        }
    speed = find_speed(wheel, "wet")
    low = f"{speed.low_m_s:g}" if speed.low_m_s is not None and speed.low_rpm else ""
    most = f", marked maximum {wheel.marked_maximum_rpm} rev/min" if wheel.marked_maximum_rpm else ""
    return turns | {
        "wheel": _wheel_words(wheel) + ("" if speed.low_rpm else most) + proposed,
        "holding": f"{holding.name}{proposed}" if holding else "",
        "wheel_truing": exact(wheel.trued_runout_nm),
        "speed": values.WheelSpeed(speed.low_rpm, wheel.marked_maximum_rpm, low),
    }


def _wheel_words(wheel: Wheel) -> str:
    return ", ".join(part for part in (wheel.name, wheel.shape, wheel.grit, wheel.bond) if part)


def _steps(card: Card, wheel: Wheel | None) -> tuple[str, ...]:
    """What has no field on the card, in the order of the work."""
    speed, passes = find_speed(wheel, "wet"), card.passes
    sides_first = card.travel_mm and card.aim.end_nm
    steps = [
        "Left-hand cut: use the mirrored setup." if card.mirrored else "",
        f"Wheel speed, wet: {speed.low_rpm} to {speed.high_rpm} rev/min." if speed.low_rpm else "",
        speed.refused if wheel else "",
        f"No stylus height: the distance {card.stylus_refused}." if card.stylus_refused else "",
        _passes(passes) if passes else "",
        "Grind the sides before the end. The travel stop counts from the end as it is now." if sides_first else "",
        SECONDARY_NEEDED if card.option.get("secondary_needed") else "",
        "The cut-back goes beyond the gash: gash the end again." if card.aim.gash else "",
    ]
    return tuple(step for step in steps if step)


def _passes(passes: Passes) -> str:
    return f"Passes: {passes.rough} roughing, {passes.finish} finishing, {passes.spark_out} without infeed."
