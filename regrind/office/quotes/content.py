"""What a quote says of a box, worked out from the record: what is asked, what is settled already, what is missing yet.

All of it is plain text and whole minor units, so that it can be stored as JSON and shown unchanged later.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from regrind.bench.drawings.section import radius_before
from regrind.bench.models import Inspection, Photo, Plan
from regrind.bench.photographs.shown import photos_of_pieces
from regrind.bench.revisions import newest, newest_with_readings
from regrind.geometry.units import Unit, show_with_unit
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Batch, Line, Piece
from regrind.record.piece_names import spans

from ..charges import asked_prices, box_charges, fixed_terms
from ..proposals import PriceList
from ..questions import say_limit, say_now
from ..worth import Choice, choices_of
from .settled import not_ground_rows, root_of, settled_rows, tool_shown, way_of

Shown = dict[str, Any]


@dataclass(frozen=True)
class DraftItem:
    """Like pieces of one line that are asked about, their plans by piece id, and what is shown of them.

    photos: all that were taken of them before they were ground; a person chooses which the customer sees.
    """

    line: Line
    pieces: Sequence[Piece]
    plans: dict[int, Plan]
    shown: Shown
    photos: Sequence[Photo]

    @property
    def unpriced(self) -> str:
        """What of it has no price yet: `end; sides and end`; "" where nothing lacks one."""
        return "; ".join(option["words"] for option in self.shown["options"] if option["price_minor"] is None)


@dataclass(frozen=True)
class DraftQuote:
    """A quote as it would be made now."""

    items: list[DraftItem] = field(default_factory=list)
    shown: Shown = field(default_factory=dict)

    @property
    def unpriced(self) -> list[DraftItem]:
        """Those that have a way to grind without a price."""
        return [item for item in self.items if item.unpriced]

    @property
    def photos(self) -> list[Photo]:
        """Each photo once, in the order of the items."""
        return list({photo.pk: photo for item in self.items for photo in item.photos}.values())


def draft_quote(batch: Batch) -> DraftQuote:
    """What a quote of this batch would say; a fixed number of queries for each line."""
    pieces = list(batch.pieces.select_related("batch", "line__family", "line__batch__customer"))
    plans, asked = newest(Plan, pieces), PriceList([batch])
    waiting = [piece for piece in pieces if piece.status == "waiting" and piece.pk in plans]
    inspections = newest_with_readings(Inspection, waiting)
    photos = photos_of_pieces(waiting)
    items = [_item(same, plans, inspections, asked, photos) for same in _alike(waiting, plans)]
    rush, least = box_charges(batch, asked, fixed_terms(batch))
    return DraftQuote(
        sorted(items, key=lambda item: item.line.number),
        {
            "settled": settled_rows(pieces, plans, asked),
            "not_ground": not_ground_rows(pieces),
            "uninspected": spans(piece for piece in pieces if piece.status in ("arrived", "inspected")),
            "rush_minor": rush,
            "least_minor": least,
        },
    )


def _alike(pieces: Sequence[Piece], plans: dict[int, Plan]) -> list[list[Piece]]:
    """Pieces of one line that share a plan and its question."""
    groups: dict[tuple[int, int, str], list[Piece]] = {}
    for piece in pieces:
        groups.setdefault((piece.line_id, root_of(plans[piece.pk]).pk, plans[piece.pk].reason), []).append(piece)
    return list(groups.values())


def _item(
    same: Sequence[Piece],
    plans: dict[int, Plan],
    inspections: dict[int, Inspection],
    asked: PriceList,
    photos: dict[int | None, list[Photo]],
) -> DraftItem:
    line, plan = same[0].line, plans[same[0].pk]
    unit, prices = line.batch.customer.unit, asked_prices(line, asked)
    choices = choices_of(line, [plan], asked)[plan.pk]
    read = [inspections[piece.pk].diameter_nm for piece in same if piece.pk in inspections]
    shown = {
        **tool_shown(line),
        "pieces": spans(same),
        "count": len(same),
        "reason": plan.reason,
        "now": say_size(plan, [nm for nm in read if nm], unit),
        "limit": say_limit(line, unit),
        "options": [_option(choice) for choice in choices],
        "proposed": _proposed(plan, choices),
        "not_ground_minor": prices.get("inspection") or 0,
        "coating_minor": (prices.get("coating") or 0) if tool_of(line).coating else 0,
    }
    return DraftItem(line, same, {piece.pk: plans[piece.pk] for piece in same}, shown, _photos(same, photos))


def say_size(plan: Plan, diameters_nm: Sequence[int], unit: Unit) -> str:
    """The size now as measured, and over the highest tooth, as it is drawn, where the readings make that another."""
    words, answer = say_now(diameters_nm, unit), root_of(plan).answer
    options = json.loads(answer)["options"] if answer else []
    end_mill = options and "sides" in options[0] and "diameter_mm" in options[0]
    if not end_mill or len(set(diameters_nm)) != 1:
        return words
    highest = show_with_unit(round(2_000_000 * radius_before(options[0])), unit)
    return words if highest in words else f"{words} as measured, {highest} over the highest tooth"


def _photos(same: Sequence[Piece], photos: dict[int | None, list[Photo]]) -> list[Photo]:
    """Those of the pieces, and of their whole line; none of a tool as it leaves."""
    whole_line = [photo for photo in photos.get(None, []) if photo.line_id == same[0].line_id]
    theirs = [photo for piece in same for photo in photos.get(piece.pk, [])]
    return [photo for photo in (*theirs, *whole_line) if photo.about != "as_it_left"]


def _option(choice: Choice) -> Shown:
    return {
        "way": choice.way,
        "words": choice.words,
        "after": choice.after,
        "price_minor": choice.price_minor,
        "beside_minor": choice.beside_minor,
        "worth": choice.worth,
    }


def _proposed(plan: Plan, choices: Sequence[Choice]) -> str:
    """What the shop proposes: the plan's own way where it can be chosen, else the first; "" where there is none."""
    ways = [choice.way for choice in choices]
    return way_of(plan) if way_of(plan) in ways else next(iter(ways), "")
