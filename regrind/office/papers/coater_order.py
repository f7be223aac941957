"""The values of an order to a coater: its slip, the pieces on it by line, and what was measured on them."""

from dataclasses import replace
from datetime import date

from django.http import Http404

from regrind.bench.models import CoaterSlip, FinalCheck, Plan
from regrind.bench.readings import fetch_readings
from regrind.bench.revisions import newest
from regrind.paper import values
from regrind.record.find import batch_or_404
from regrind.record.models import Batch, Piece
from regrind.record.piece_names import spans
from regrind.shop.events import Refusal
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.owner.settings import shop_settings

from .common import by_line, day_of, exact, heading, length, resolution_of, tool_name_now


def coater_slip_or_404(number: str) -> CoaterSlip:
    """The slip of order 417/K2; Http404 where there is none."""
    batch, _, order = number.partition("/")
    place = read_whole(order.removeprefix("K"), 4) if order.startswith("K") else None
    slips = CoaterSlip.every.filter(batch=batch_or_404(batch), place=place) if place else CoaterSlip.every.none()
    slip = slips.select_related("batch__customer", "event__by", "event__undone_by").first()
    if slip is None:
        raise Http404(number)
    return slip


def coater_order(slip: CoaterSlip, revision: int, dated: date) -> values.CoaterOrder:
    """The order of a slip. Refusal where it was undone."""
    if hasattr(slip.event, "undone_by"):
        raise Refusal(f"Order {slip.order} was undone: its pieces are here.")
    batch: Batch = slip.batch
    pieces = Piece.objects.filter(pk__in=slip.pieces.values("piece"))
    related = pieces.select_related("batch", "line__family", "line__batch__customer", "tool")
    lines = by_line(related.order_by("line__number", "original_line", "number"))
    checks = newest(FinalCheck, [piece for same in lines.values() for piece in same])
    fetch_readings(list(checks.values()))
    plans = newest(Plan, [piece for same in lines.values() for piece in same])
    head = heading(batch, slip.order, revision, dated)
    coater = values.Customer(slip.coater, tuple(slip.address.splitlines()))
    price = slip.price_minor
    return values.CoaterOrder(
        replace(head, customer=coater, addressee="Coater", order_number="", arrived=None, due=None, rush=False),
        slip.number,
        slip.coating,
        tuple(_line(same, checks, plans) for same in lines.values()),
        note=slip.note,
        price=None if price is None else values.Money(price, shop_settings().currency),
        expected=slip.expected,
        sent=values.Signed(slip.who, day_of(slip.done_at)),
    )


def _line(same: list[Piece], checks: dict[int, FinalCheck], plans: dict[int, Plan]) -> values.CoaterLine:
    """Like pieces, with the diameters that were measured after grinding; where none was, the planned ones."""
    read = [check for piece in same if (check := checks.get(piece.pk)) and check.diameter_nm is not None]
    sizes = sorted(
        ((length(check.diameter_nm, resolution_of(check, "diameter")), check.diameter_nm or 0) for check in read),
        key=lambda size: size[1],
    )
    planned = not sizes
    if planned:
        aims = sorted({plan.diameter_nm for piece in same if (plan := plans.get(piece.pk)) and plan.diameter_nm})
        sizes = [(exact(nm), nm) for nm in aims]
    return values.CoaterLine(
        f"{same[0].batch.number}: {spans(same)}",
        tool_name_now(same[0].line),
        len(same),
        same[0].line.family.material,
        sizes[0][0] if sizes else None,
        sizes[-1][0] if sizes else None,
        planned=planned,
    )
