"""The setup card of a line: the figures of the bench's own card, for the wheel that it was or is last ground with.

What the bench's card refuses, or nobody recorded, is left as a line to write on.
"""

import dataclasses
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import OuterRef, Subquery

from regrind.bench.checking.findings import tolerance_of
from regrind.bench.grinding.card import Card, set_up, what_changes
from regrind.bench.grinding.card_drawing import find_sketch
from regrind.bench.grinding.card_section import Section
from regrind.bench.grinding.card_sections import list_sections
from regrind.bench.grinding.machine import Machine, machine_of
from regrind.bench.grinding.prefill import Aim, aim
from regrind.bench.grinding.views import alike
from regrind.bench.grinding.wheel import find_speed
from regrind.bench.grinding.wish import say_card_warning
from regrind.bench.kinds.registry import kind_of
from regrind.bench.models import Grind, Plan
from regrind.geometry import units
from regrind.paper import cautions, values
from regrind.paper.setup_card import card_facts
from regrind.record.find import recent_lines
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Family, Line, Piece
from regrind.record.piece_names import spans
from regrind.shop.events import Refusal
from regrind.shop.models import Wheel
from regrind.shop.owner.settings import shop_settings

from .common import Rows, exact, gather, heading, tool_name_inside


@dataclasses.dataclass(frozen=True)
class Setups:
    """What the cards of a batch rest on: each planned piece's aim, and by family the grind whose wheel is taken."""

    aims: list[Aim]
    grinds: dict[int, Grind]
    machine: Machine

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
            new = list_changes(card, other, how)
            differences += [f"{other.title}: {'; '.join(new)}."] if new else []
        return tuple(differences)

    def _grind(self, aimed: Aim) -> Grind | None:
        return self.grinds.get(aimed.piece.line.family_id)

    def _figures(self, aimed: Aim) -> Card:
        grind = self._grind(aimed)
        return set_up(aimed, grind.wheel if grind else None, self.machine, aimed.piece.line.batch.customer.unit)

    def _card(self, card: Card, same: Sequence[Piece], rows: Rows) -> values.SetupCard:
        grind = self._grind(card.aim)
        material = tool_of(card.aim.piece.line, with_assumed=False).material
        sections = list_sections(card)
        of_parts = [section.cautions for section in sections]
        return values.SetupCard(
            spans(same),
            number=str(same[0].line),
            parts=tuple(_part(section, card) for section in sections),
            steps=_speed_steps(grind.wheel) if grind and grind.wheel else (),
            cautions=cautions.gather(*of_parts, cautions.by_material(material)),
            count=len(same),
            limits=_limits(same[0].line, card),
            warning=say_card_warning(card),
            **_wheel(grind, here=grind is not None and grind.piece_id in rows.grinds),
        )


def list_differing(card: values.SetupCard, others: Sequence[values.SetupCard], how: values.Style) -> tuple[str, ...]:
    """The labels of a card's figures that another card of the same setup sets otherwise."""
    each = [dict(card_facts(other, how)) for other in others]
    return tuple(name for name, value in card_facts(card, how) if any(value != one.get(name) for one in each))


def list_changes(before: values.SetupCard, after: values.SetupCard, how: values.Style) -> list[str]:
    """Every figure of a card that is not as on the card before, in words: `stylus tip below centre .0123 in`."""
    was = dict(card_facts(before, how))
    return [
        f"{name[:1].lower()}{name[1:]} {value}"
        for name, value in card_facts(after, how)
        if value and value != was.get(name)
    ]


def find_setups(pieces: Sequence[Piece], rows: Rows) -> Setups:
    """In a fixed number of queries."""
    planned = [piece for piece in pieces if _is_to_be_ground(piece, rows.plans.get(piece.pk))]
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
        machine_of(shop_settings()),
    )


def _is_to_be_ground(piece: Piece, plan: Plan | None) -> bool:
    """Whether a piece's plan is to grind it, or asked the customer, whose answer sent it on to grinding."""
    if plan is None:
        return False
    return plan.decision == "grind" or (plan.decision == "ask" and piece.status == "ready_to_grind")


def setup_sheet(line: Line, revision: int, dated: date) -> values.SetupSheet:
    """The cards of a line as a paper of its own. Refusal where nothing of it is planned to be ground."""
    pieces = list(line.pieces.select_related("batch", "line__family", "line__batch__customer"))
    rows = gather(pieces)
    cards = find_setups(pieces, rows).cards(pieces, rows)
    if not cards:
        raise Refusal("Nothing of this line is planned to be ground yet: there is no setup card.")
    named = [dataclasses.replace(card, title=f"{card.title} · {tool_name_inside(line)}") for card in cards]
    return values.SetupSheet(heading(line.batch, str(line), revision, dated, at_bench=True), tuple(named))


def _part(section: Section, card: Card) -> values.SetupPart:
    """A section of the bench's card as the paper prints it: all of its figures, the unknown ones as blanks."""
    figures = tuple(
        values.SetupFigure(figure.label, exact(figure.nm), figure.text, figure.note, figure.assumed)
        for figure in section.figures
    )
    drawing = _drawing(card) if section.name == "sides" else find_sketch(card, section.name)
    return values.SetupPart(section.title, figures, section.steps, drawing)


def _limits(line: Line, card: Card) -> tuple[values.SetupFigure, ...]:
    """What the pieces of a line are held to; a limit nobody agreed is left out, one the plan passes says so."""
    plan, planner = card.plan, kind_of(line.family).planner
    sized = planner is None or planner.measured
    within_nm = tolerance_of(line, plan) if sized else None
    smallest, shortest = line.smallest_diameter_nm() if line.holds_smallest() else None, line.shortest_usable_nm()
    limits = (
        ("Tolerance of the diameter, ±", within_nm, None),
        ("Diameter, not below", smallest, plan.diameter_nm if plan else None),
        ("Usable length, not below", shortest, plan.usable_nm if plan else None),
        ("Runout, at most", line.most_runout_nm(), None),
    )
    of_kind = planner.tells(card.case, card.option, card.unit) if planner and card.option.get("grind") else []
    return tuple(values.SetupFigure(label, text=text) for label, text in of_kind) + tuple(
        values.SetupFigure(name, exact(nm), note=_say_past(nm, planned, plan, line.batch.customer.unit))
        for name, nm, planned in limits
        if nm is not None
    )


def _say_past(limit_nm: int, planned_nm: int | None, plan: Plan | None, unit: units.Unit) -> str:
    """What a plan below a limit says beside it: the figure, and who allowed it; '' where it keeps the limit."""
    if plan is None or not planned_nm or planned_nm >= limit_nm:
        return ""
    return f"planned {units.show_with_unit(planned_nm, unit)} all the same: {plan.reason}"


def _drawing(card: Card) -> values.StylusDrawing | None:
    """The stylus as it is set; None where it has no height."""
    if card.stylus is None or card.relief_rad is None or not card.plan or not card.plan.diameter_nm:
        return None
    return values.StylusDrawing(
        radius_mm=card.plan.diameter_nm / 2 / units.NM_PER_MM,
        relief_rad=card.relief_rad,
        lag_rad=card.stylus.lag_rad,
        distance_mm=card.machine.distance_mm,
        agree=card.agree,
        above=card.stylus.tip_below_mm < 0,
        height=values.Length(abs(units.to_nm(card.stylus.tip_below_mm))),
        distance=values.Length(card.machine.distance_nm),
    )


def _wheel(grind: Grind | None, *, here: bool) -> dict[str, Any]:
    """Wheel and holding: as this line was ground, else as the family last was. The marked maximum always stands."""
    if grind is None or grind.wheel is None:
        return {}
    wheel, holding, proposed = grind.wheel, grind.holding, "" if here else " (last used)"
    speed = find_speed(wheel, "wet")
    low = f"{speed.low_m_s:g}" if speed.low_m_s is not None and speed.low_rpm else ""
    most = f", marked maximum {wheel.marked_maximum_rpm} rev/min" if wheel.marked_maximum_rpm else ""
    return {
        "wheel": _wheel_words(wheel) + ("" if speed.low_rpm else most) + proposed,
        "holding": f"{holding.name}{proposed}" if holding else "",
        "wheel_truing": exact(wheel.trued_runout_nm),
        "speed": values.WheelSpeed(speed.low_rpm, wheel.marked_maximum_rpm, low),
    }


def _wheel_words(wheel: Wheel) -> str:
    return ", ".join(part for part in (wheel.name, wheel.shape, wheel.grit, wheel.bond) if part)


def _speed_steps(wheel: Wheel) -> tuple[str, ...]:
    """The range of the wheel's speed, or why there is none."""
    speed = find_speed(wheel, "wet")
    speeds = f"Wheel speed, wet: {speed.low_rpm} to {speed.high_rpm} rev/min." if speed.low_rpm else ""
    return tuple(words for words in (speeds, speed.refused) if words)
