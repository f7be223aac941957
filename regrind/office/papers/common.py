"""What every paper draws on: heading, lengths as measured, and the newest rows of a batch's pieces."""
from dataclasses import dataclass
from datetime import date

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan, Reading
from regrind.bench.rows import newest
from regrind.paper import values
from regrind.record.models import Batch, Line, Piece
from regrind.shop.letterhead import letterhead


@dataclass(frozen=True)
class Rows:
    """The newest inspection, plan, grind and check of each piece, by piece id; readings by check and inspection id."""

    inspections: dict[int, Inspection]
    plans: dict[int, Plan]
    grinds: dict[int, Grind]
    checks: dict[int, FinalCheck]
    readings: list[Reading]

    def resolution(self, check: FinalCheck | None, what: str) -> int:
        """The resolution of the gauge that a check's reading was taken with; a micrometre where none was named."""
        for row in self.readings:
            if check is not None and row.check_row_id == check.pk and row.what == what and row.resolution_nm:
                return row.resolution_nm
        return 1_000

    def check_of(self, piece: Piece) -> tuple[FinalCheck | None, FinalCheck | None]:
        """The piece's own check, and the one it follows ("as first piece") or itself."""
        own = self.checks.get(piece.pk)
        return own, (own.like or own) if own else None      # type: ignore[return-value]


def gather(pieces: list[Piece]) -> Rows:
    """A fixed number of queries, however many pieces."""
    inspections, checks = newest(Inspection, pieces), newest(FinalCheck, pieces)
    roots = {row.like_id or row.pk for row in inspections.values()}
    readings = list(Reading.objects.filter(check_row__in=[c.pk for c in checks.values()]))
    readings += list(Reading.objects.filter(inspection__in=roots))
    return Rows(inspections, newest(Plan, pieces), newest(Grind, pieces), checks, readings)


def pieces_of(batch: Batch) -> list[Piece]:
    return list(batch.pieces.select_related("batch", "line__family", "line__batch__customer", "tool")
                .order_by("line__number", "born_line", "number"))


def style(batch: Batch) -> values.Style:
    unit = "mm" if batch.customer.unit == "mm" else "in"
    return values.Style(unit=unit, page="A4" if unit == "mm" else "letter")     # type: ignore[arg-type]


def heading(batch: Batch, number: str, revision: int, dated: date) -> values.Heading:
    shop, customer = letterhead(), batch.customer
    lines = (*shop.address.splitlines(), *(text for text in (shop.phone, shop.mail) if text))
    return values.Heading(
        number=number, revision=revision, dated=dated, batch=str(batch.number), style=style(batch),
        shop=values.Letterhead(shop.name, lines, bytes(shop.logo) if shop.logo else None),
        customer=values.Customer(customer.name, tuple(customer.address.splitlines()), customer.contact),
        their_order=batch.order_number, arrived=batch.received_at.date(), due=batch.due, rush=batch.rush)


def length(nm: int | None, resolution_nm: int = 1_000, *, assumed: bool = False) -> values.Length | None:
    return None if nm is None else values.Length.at_resolution(nm, resolution_nm or 1_000, assumed=assumed)


def exact(nm: int | None) -> values.Length | None:
    """A planned or nominal length, at the usual places."""
    return None if nm is None else values.Length(nm)


def tool_name(line: Line) -> str:
    return line.family.name(line.batch.customer.unit)


def times_reground(piece: Piece) -> int | None:
    """How often it was reground with this time, where that is known."""
    if piece.before_here is None:
        return None
    return piece.before_here + (piece.before_elsewhere or 0) + (1 if piece.result == "ground" else 0)


def clearance(rows: Rows, check: FinalCheck | None) -> values.Clearance | None:
    if check is None or check.relief_cdeg is None:
        return None
    resolution = rows.resolution(check, "drop")
    return values.Clearance(values.Angle(check.relief_cdeg), length(check.relief_drop_nm, resolution),
                            length(check.relief_over_nm, resolution), check.relief_how)
