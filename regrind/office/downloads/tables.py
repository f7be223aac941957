"""The tables that can be downloaded: which rows, which columns, in the shop's unit."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, QuerySet

from regrind.bench.models import Reading
from regrind.geometry.units import Unit
from regrind.record.models import Address, Batch, Contact, Customer, Family, Piece
from regrind.shop.event_models import not_undone

from ..models import IssuedPaper
from .cells import Column
from .customers import ADDRESSES, CONTACTS, CUSTOMERS, entries, with_first
from .pieces import PIECES, list_pieces

BOXES = (
    Column("Box", lambda box: box.number),
    Column("Customer", lambda box: box.customer.name),
    Column("Their order number", lambda box: box.order_number),
    Column("Received", lambda box: box.received_at.date()),
    Column("Received by", lambda box: box.received_by.name),
    Column("Due", lambda box: box.due),
    Column("Rush", lambda box: "yes" if box.rush else ""),
    Column("Their count", lambda box: box.their_count),
    Column("Pieces", lambda box: box.piece_count),
    Column("Closed", lambda box: "yes" if box.closed else ""),
    Column("Cancelled because", lambda box: box.cancelled),
    Column("Note", lambda box: box.note),
)
READINGS = (
    Column("Piece", lambda one: str(_read_on(one).piece)),
    Column("Read at", lambda one: "inspection" if one.inspection_id else "final check"),
    Column("Revision", lambda one: _read_on(one).revision),
    Column("Read on", lambda one: one.event.done_at.date()),
    Column("Read by", lambda one: one.event.who),
    Column("Quantity", lambda one: one.quantity.replace("_", " ")),
    Column("Tooth", lambda one: one.tooth or None),
    Column("Mark", lambda one: one.mark or None),
    Column("Length", lambda one: one.nm, "", "length"),
    Column("Angle", lambda one: one.cdeg, "", "angle"),
    Column("As typed", lambda one: one.text),
    Column("Gauge", lambda one: one.gauge_name),
    Column("Its resolution", lambda one: one.resolution_nm, "", "length"),
    Column("Its calibration", lambda one: one.calibration),
)
PAPERS = (
    Column("Paper", lambda paper: paper.get_kind_display()),
    Column("Number", lambda paper: paper.number),
    Column("Revision", lambda paper: paper.revision),
    Column("Issued on", lambda paper: paper.issued_at.date()),
    Column("Issued by", lambda paper: paper.by.name),
    Column("Pages", lambda paper: paper.pages),
    Column("SHA-256 of the PDF", lambda paper: paper.sha256),
)
FAMILIES = (
    Column("Kind", lambda one: one.kind_data.name),
    Column("Diameter", lambda one: one.nominal_nm, "DC", "length"),
    Column("Flutes", lambda one: one.teeth, "NOF"),
    Column("Material", lambda one: one.material),
    Column("Coating", lambda one: one.coating, "COATING"),
    Column("Helix", lambda one: one.helix_cdeg, "FHA", "angle"),
    Column("Corner radius", lambda one: one.corner_radius_nm, "RE", "length"),
    Column("Shank diameter", lambda one: one.shank_nm, "DCONMS", "length"),
    Column("Flute length", lambda one: one.flute_length_nm, "LCF", "length"),
    Column("Overall length", lambda one: one.overall_nm, "OAL", "length"),
    Column("Radial rake", lambda one: one.rake_cdeg, "GAMF", "angle"),
    Column("Point angle", lambda one: one.point_angle_cdeg, "SIG", "angle"),
    Column("Core diameter", lambda one: one.core_nm, "", "length"),
    Column("Maker", lambda one: one.maker),
    Column("Catalogue number", lambda one: one.catalogue),
)


def _read_on(reading: Reading) -> Any:
    """The inspection or the final check that a reading belongs to."""
    return reading.inspection or reading.final_check


@dataclass(frozen=True)
class Table:
    """A table to download. rows: those of the days from first to last, both included, by when their box was received;
    dated: whether the days choose among them."""

    title: str
    columns: tuple[Column, ...]
    rows: Callable[[date, date], QuerySet[Any]]
    each: Callable[[Any], Iterable[Any]] = lambda rows: rows.iterator(chunk_size=2_000)
    dated: bool = True

    def heads(self, unit: Unit) -> list[str]:
        return [column.head(unit) for column in self.columns]

    def cells(self, rows: QuerySet[Any], unit: Unit) -> Iterable[list[Any]]:
        return ([column.cell(row, unit) for column in self.columns] for row in self.each(rows))


def _boxes(first: date, last: date) -> QuerySet[Batch]:
    boxes = Batch.objects.filter(received_at__date__range=(first, last))
    return boxes.select_related("customer", "received_by").annotate(piece_count=Count("pieces")).order_by("number")


def _pieces(first: date, last: date) -> QuerySet[Piece]:
    pieces = Piece.objects.filter(batch__received_at__date__range=(first, last))
    return pieces.order_by("batch__number", "original_line", "number")


def _readings(first: date, last: date) -> QuerySet[Reading]:
    """Readings of rows that stand, by the day on which they were read."""
    readings = Reading.every.filter(not_undone(), event__done_at__date__range=(first, last))
    whose = ("piece__batch", "piece__line")
    joined = [f"{owner}__{name}" for owner in ("inspection", "final_check") for name in whose]
    return readings.select_related("event__by", *joined).order_by("pk")


def _papers(first: date, last: date) -> QuerySet[IssuedPaper]:
    return IssuedPaper.objects.filter(issued_at__date__range=(first, last)).select_related("by").order_by("pk")


TABLES = {
    "boxes": Table("Boxes", BOXES, _boxes),
    "pieces": Table("Pieces", PIECES, _pieces, list_pieces),
    "readings": Table("Readings", READINGS, _readings),
    "papers": Table("Papers issued", PAPERS, _papers),
    "customers": Table("Customers", CUSTOMERS, lambda first, last: Customer.objects.all(), with_first, dated=False),
    "contacts": Table("Contacts", CONTACTS, lambda first, last: entries(Contact), dated=False),
    "addresses": Table("Addresses", ADDRESSES, lambda first, last: entries(Address), dated=False),
    "families": Table("Families", FAMILIES, lambda first, last: Family.objects.filter(merged_into=None), dated=False),
}
