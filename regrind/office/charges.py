"""The bill of a batch: lines, rush charge, batch minimum. All amounts in whole minor units."""

from dataclasses import dataclass

from django.db.models import Count, Q

from regrind.record.models import Batch, Line


@dataclass(frozen=True)
class Charged:
    """The charge of one line: the pieces charged and the amount."""

    line: Line
    pieces: int
    free: int  # reground on a complaint, at no charge
    minor: int


@dataclass(frozen=True)
class Bill:
    """The lines, the other charges and the total; `open_lines` have pieces to charge and no price yet."""

    lines: tuple[Charged, ...]
    rush_minor: int
    minimum_minor: int  # what the batch minimum adds
    open_lines: tuple[Line, ...]

    @property
    def total_minor(self) -> int:
        return sum(line.minor for line in self.lines) + self.rush_minor + self.minimum_minor


def bill(batch: Batch, piece_ids: list[int] | None = None) -> Bill:
    """The bill for the ground pieces of a batch; for one parcel's pieces where `piece_ids` names them.

    Rush and minimum are charged once a batch, so a parcel's bill has neither. A complaint is not charged.
    """
    whole = piece_ids is None
    ground = Q(pieces__result="ground") & (Q() if whole else Q(pieces__in=piece_ids or []))
    lines = batch.lines.annotate(
        charged=Count("pieces", filter=ground & Q(pieces__complaint_of__isnull=True)),
        free=Count("pieces", filter=ground & Q(pieces__complaint_of__isnull=False)),
    ).order_by("number")
    rows = tuple(Charged(line, line.charged, line.free, line.charged * (line.unit_price_minor or 0)) for line in lines)
    summed = sum(row.minor for row in rows)
    minimum = max(0, batch.customer.batch_minimum_minor - summed) if whole and summed else 0
    rush = batch.customer.rush_charge_minor if whole and batch.rush and summed else 0
    return Bill(rows, rush, minimum, tuple(r.line for r in rows if r.pieces and r.line.unit_price_minor is None))
