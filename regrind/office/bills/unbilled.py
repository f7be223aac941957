"""What is to be billed: the parcels that left and are on no bill, by customer."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from regrind.record.models import Customer

from ..bill_models import BillParcel
from ..charges import Bill as Charges
from ..charges import bill
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
    """The charges of each of these parcels."""
    last = _closing(parcel.batch_id for parcel in parcels)
    return [Unbilled(parcel, _charges(parcel, closing=last.get(parcel.batch_id) == parcel.pk)) for parcel in parcels]


def _closing(batches: Iterable[int]) -> dict[int, int]:
    """By closed batch, the parcel that emptied it: its last one."""
    rows = Parcel.objects.filter(batch__in=set(batches), batch__closed=True).order_by("number")
    return dict(rows.values_list("batch", "pk"))


def _charges(parcel: Parcel, *, closing: bool) -> Charges:
    pieces = list(ParcelPiece.objects.filter(parcel=parcel).values_list("piece", flat=True))
    charges = bill(parcel.batch, pieces)
    if not closing:
        return charges
    whole = bill(parcel.batch)
    return Charges(charges.lines, whole.rush_minor, whole.minimum_minor, charges.open_lines)


def customers_to_bill() -> list[tuple[Customer, int]]:
    """(customer, parcels on no bill), by name; two queries, whatever the number of parcels."""
    counts = dict(_open_parcels().order_by().values_list("batch__customer").annotate(n=Count("pk")))
    return [(customer, counts[customer.pk]) for customer in Customer.objects.filter(pk__in=counts).order_by("name")]
