"""Parcels and batches charged together are charged as each alone, and as a slow count of each piece has it."""

from collections import Counter

import pytest

from regrind.office.bills.unbilled import charge_parcels
from regrind.office.charges import Bill, ChargeBook, bill
from regrind.office.models import Parcel, ParcelPiece
from regrind.record import rollups
from regrind.record.models import Batch, Piece
from regrind.shop.models import Person
from tests.kept import kept
from tests.long_form import FULL

from .office_shop import OfficeShop
from .slow_charges import box_slowly, charge_slowly

pytestmark = pytest.mark.django_db
SEED, EVENTS = 6, 2_000 if FULL else 900


@pytest.fixture(scope="module")
def shop(django_db_setup, django_db_blocker):
    def make() -> None:
        owner = Person.objects.create_user("Ola", "a long password", owner=True)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(rollups, "_recount", lambda touched: None)  # the review's sums are not asked for here
            OfficeShop(SEED, owner).run(EVENTS)

    yield from kept(django_db_blocker, make)


def batches() -> list[Batch]:
    return list(Batch.objects.select_related("customer").order_by("pk"))


def parcels() -> list[Parcel]:
    return list(Parcel.objects.select_related("batch__customer").order_by("pk"))


def counted(charges: Bill) -> Counter:
    """As `charge_slowly` counts."""
    counts: Counter = Counter()
    for row in charges.lines:
        counts[row.line.pk, "price", row.each_minor] += row.pieces
        counts[row.line.pk, "free", 0] += row.free
        for extra in row.extras:
            counts[row.line.pk, extra.item, extra.each_minor] += extra.pieces
    return +counts


def test_batches_are_charged_together_as_each_alone_and_piece_by_piece(shop):
    rows = batches()
    book = ChargeBook(rows)
    met: Counter = Counter()
    for batch in rows:
        charges = book.bill(batch)
        assert charges == bill(batch)
        assert counted(charges) == charge_slowly(batch, list(Piece.objects.filter(batch=batch)))
        assert (charges.rush_minor, charges.minimum_minor) == box_slowly(batch, sum(row.minor for row in charges.lines))
        met.update(item for _, item, _ in counted(charges))
        met["rush"] += bool(charges.rush_minor)
        met["minimum"] += bool(charges.minimum_minor)
        met["open"] += bool(charges.open_lines)
    assert not {"price", "free", "corner", "gash", "coating", "inspection", "rush", "minimum", "open"} - set(+met)


def test_parcels_are_charged_together_as_each_alone_and_piece_by_piece(shop):
    rows = parcels()
    assert len({parcel.batch_id for parcel in rows}) < len(rows)
    for parcel, row in zip(rows, charge_parcels(rows), strict=True):
        [alone] = charge_parcels([parcel])
        assert row == alone
        inside = Piece.objects.filter(pk__in=ParcelPiece.objects.filter(parcel=parcel).values("piece"))
        assert counted(row.charges) == charge_slowly(parcel.batch, list(inside))


def test_rush_and_minimum_are_charged_with_the_last_parcel_of_a_closed_batch_alone(shop):
    rows = {row.parcel.pk: row.charges for row in charge_parcels(parcels())}
    for batch in batches():
        own, whole = list(Parcel.objects.filter(batch=batch).order_by("number")), bill(batch)
        for parcel in own:
            asked = (rows[parcel.pk].rush_minor, rows[parcel.pk].minimum_minor)
            last = batch.closed and parcel == own[-1]
            assert asked == ((whole.rush_minor, whole.minimum_minor) if last else (0, 0))
