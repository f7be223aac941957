"""What a batch is charged, counted piece by piece with a few queries for each: plain, slow, and without the program's
own reading of many at once."""

from collections import Counter

from regrind.bench.models import CoaterPiece, FinalCheck, Grind
from regrind.office.models import FixedPrice, FixedTerms, LineExtra
from regrind.office.proposals import PriceList
from regrind.office.quote_models import QuoteAnswer
from regrind.record.models import Batch, ComplaintEnd, Piece

CORNERS = {"corner", "ball"}


def charge_slowly(batch: Batch, pieces: list[Piece]) -> Counter:
    """(line, item, price of one) -> pieces, of these pieces of a batch; item "free" for regrinds on a complaint, price
    None where there is none yet. What is charged nothing beside the regrind is left out."""
    counts: Counter = Counter()
    for piece in pieces:
        for item in items_of(piece):
            each = price_of(batch, piece, item)
            if each or item in ("price", "free"):
                counts[piece.line_id, item, each] += 1
    return counts


def items_of(piece: Piece) -> set[str]:
    end = ComplaintEnd.objects.filter(piece=piece).order_by("pk").last()
    if piece.complaint_of_id and (end is None or end.outcome != "refused"):
        return {"free"} if piece.result == "ground" else set()
    if piece.result != "ground":
        return {"inspection"} if piece.result in ("returned_unground", "scrap") else set()
    grinds = list(Grind.objects.filter(piece=piece))
    parts = {part for row in grinds for part in row.grinds.split()}
    check = FinalCheck.objects.filter(piece=piece).order_by("revision", "pk").last()
    left_as = (check.copied_from or check).corner if check else ""
    corner = (parts & CORNERS or left_as == "re-formed") and not (parts and parts <= CORNERS)
    coated = piece.status in ("ground", "released", "left") and CoaterPiece.objects.filter(piece=piece).exists()
    beside = {"corner": corner, "gash": any(row.gashed for row in grinds), "coating": coated}
    return {"price", *(item for item, is_so in beside.items() if is_so)}


def price_of(batch: Batch, piece: Piece, item: str) -> int | None:
    quoted = QuoteAnswer.objects.filter(quote_piece__piece=piece, minor__isnull=False).order_by("pk").last()
    if item == "price" and quoted:
        return quoted.minor
    if item == "free":
        return 0
    line, fixed = piece.line, FixedPrice.objects.filter(line=piece.line)
    if FixedTerms.objects.filter(batch=batch).exists() and fixed.exists():
        row = fixed.filter(item=item).order_by("pk").last()
        return row.minor if row else line.unit_price_minor if item == "price" else None
    if item == "price":
        return line.unit_price_minor
    by_hand = LineExtra.objects.filter(line=line, item=item).order_by("pk").last()
    return by_hand.minor if by_hand else PriceList([batch]).item_price(line, item)


def box_slowly(batch: Batch, summed: int) -> tuple[int, int]:
    """(rush, what the minimum adds) of a batch whose pieces are charged so much together."""
    fixed = FixedTerms.objects.filter(batch=batch).order_by("pk").last()
    if not summed:
        return 0, 0
    if fixed:
        return fixed.rush_minor, max(0, fixed.least_minor - summed)
    asked, customer = PriceList([batch]), batch.customer
    rush = (customer.rush_charge_minor or asked.of_box(batch, "rush")) if batch.rush else 0
    return rush, max(0, (customer.batch_minimum_minor or asked.of_box(batch, "least")) - summed)
