"""What is to be billed: the parcels that left and are on no bill, by customer."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from regrind.record.models import Customer

from ..bill_models import BillParcel
from ..charges import Bill as Charges
from ..charges import ChargeBook
from ..models import Parcel, ParcelPiece

PAGE = 50


@dataclass(frozen=True)
class Unbilled:
    """A parcel to bill, with what is charged for it; rush and minimum are with the one that emptied the box."""

    parcel: Parcel
    charges: Charges

    @property
    def ready(self) -> bool:
        return not self.charges.open_lines


def _open_parcels() -> QuerySet[Parcel]:
    return Parcel.objects.exclude(pk__in=BillParcel.objects.values("parcel"))


def unbilled_parcels(customer: Customer) -> list[Unbilled]:
    """A customer's oldest parcels that are on no bill, at most a page of them, each with its charges; also those for
    which nothing is charged, so that a bill can take them off the list."""
    rows = _open_parcels().filter(batch__customer=customer).select_related("batch__customer", "event__by")
    return charge_parcels(list(rows.order_by("batch__number", "number")[:PAGE]))


def charge_parcels(parcels: Sequence[Parcel]) -> list[Unbilled]:
    """The charges of each of these parcels; a fixed number of queries, whatever their number."""
    batches = {parcel.batch_id: parcel.batch for parcel in parcels}
    book, inside, last = ChargeBook(batches.values()), _pieces_of(parcels), _closing(batches)
    return [
        Unbilled(parcel, book.bill(parcel.batch, inside[parcel.pk], closing=last.get(parcel.batch_id) == parcel.pk))
        for parcel in parcels
    ]


def _pieces_of(parcels: Sequence[Parcel]) -> dict[int, set[int]]:
    """By parcel, the pieces in it."""
    inside: dict[int, set[int]] = {parcel.pk: set() for parcel in parcels}
    for parcel, piece in ParcelPiece.objects.filter(parcel__in=parcels).values_list("parcel", "piece"):
        inside[parcel].add(piece)
    return inside


def _closing(batches: Iterable[int]) -> dict[int, int]:
    """By closed batch, the parcel that emptied it: its last one."""
    rows = Parcel.objects.filter(batch__in=batches, batch__closed=True).order_by("number")
    return dict(rows.values_list("batch", "pk"))


def customers_to_bill() -> list[tuple[Customer, int]]:
    """(customer, parcels on no bill), by name; two queries, whatever the number of parcels."""
    counts = dict(_open_parcels().order_by().values_list("batch__customer").annotate(n=Count("pk")))
    return [(customer, counts[customer.pk]) for customer in Customer.objects.filter(pk__in=counts).order_by("name")]
