"""Filling an empty shop with years of boxes."""

import random
from collections.abc import Callable
from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils import timezone

from regrind.record.kinds import KINDS
from regrind.record.models import Batch, Customer, Family, Rate
from regrind.record.rates import SHOP
from regrind.record.rollup_rebuild import rebuild
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Gauge, Person, Wheel

from .box import STAGES, LineStory, Years, as_times, record_events, times_of
from .bulk import day, moment, write_from_memory
from .draws import Buyer, Kind, family_values, line_size, make_buyer, make_kind, shares
from .tables import Tables

CUSTOMERS, FAMILIES, YEARS = 40, 300, 20
VISITS_AT_ONCE = 20_000
OPEN = 300  # pieces that came within the last days
NAME = "Fill-in"


def fill(*, visits: int, seed: int, say: Callable[[str], object]) -> int:
    """Fill an empty shop with `visits` pieces over twenty years, the same ones for the same seed. Returns the cells.

    Refusal where the shop holds a box, a customer or a family.
    """
    if any(model.objects.exists() for model in (Batch, Customer, Family)):
        raise Refusal("This shop is not empty: the years go into a fresh data folder alone.")
    write_from_memory()
    chance = random.Random(seed)  # noqa: S311 -- invented data, not a secret
    with event(None, "filled in") as filling:
        by = Person.objects.filter(owner=True).first() or Person.objects.create_user(NAME, owner=True)
        years, buyers = _open(chance, by, filling)
    began = timezone.now() - timedelta(days=YEARS * 365)
    pieces_made, boxes = 0, 0
    while pieces_made < visits:
        with event(None, "filled in"):
            years.tables.events.number_on()
            goal = min(visits, pieces_made + VISITS_AT_ONCE)
            while pieces_made < goal:
                boxes += 1
                pieces_made += _box(years, buyers, boxes, _came(began, pieces_made, visits), visits - pieces_made)
            years.tables.write()
        say(f"{pieces_made} visits")
    with transaction.atomic():
        years.tables.finish()
    return rebuild()


def _came(began: datetime, pieces_made: int, visits: int) -> datetime:
    """Boxes come evenly over the years; the last pieces within days, so that there is work on the bench."""
    rest = visits - pieces_made
    if rest <= OPEN:
        return timezone.now() - timedelta(hours=rest / 4)
    return began + (timezone.now() - timedelta(hours=OPEN / 4) - began) * (pieces_made / visits)


def _open(chance: random.Random, by: Person, filling: Event) -> tuple[Years, list[Buyer]]:
    """Registers, customers, families and what they cost."""
    gauge = Gauge.objects.create(name="Years' micrometer", what="v-anvil", anvil_cdeg=6_000, resolution_nm=1_000)
    wheels = [
        Wheel.objects.create(name=f"Years' cup {k + 1}", abrasive="diamond", diameter_nm=100_000_000).pk
        for k in range(5)
    ]
    families = Family.objects.bulk_create([Family(**family_values(chance, n)) for n in range(FAMILIES)])
    kinds = [make_kind(chance, family.pk, family.nominal_nm or 0, _grinds(family.kind)) for family in families]
    _cost(chance, kinds, filling)
    customers = Customer.objects.bulk_create(
        [Customer(name=f"Works {n + 1:02d}", unit=chance.choice(("in", "mm"))) for n in range(CUSTOMERS)]
    )
    buyers = [make_buyer(chance, customer.pk, kinds) for customer in customers]
    return Years(chance, Tables(), by.pk, (gauge.pk, gauge.name, gauge.resolution_nm), wheels), buyers


def _grinds(kind: str) -> str:
    grinds = KINDS[kind].grinds
    return "sides end" if {"sides", "end"} <= set(grinds) else grinds[0]


def _inflation(day: date) -> float:
    """Prices of twenty years ago were about two thirds of today's."""
    factor: float = 1.02 ** ((day - timezone.localdate()).days / 365)
    return factor


def _cost(chance: random.Random, kinds: list[Kind], filling: Event) -> None:
    """An hourly rate of the shop and the prices of every family, each said anew every few years."""
    today, rows = timezone.localdate(), []

    def say(name: str, minor: int, since: date, family: int | None) -> None:
        rows.append(
            Rate(
                what=name,
                amount=minor,
                from_day=since,
                family_id=family,
                kind=SHOP[1],
                event=filling,
                currency="" if name == "life" else "USD",
            )
        )

    for year in range(0, YEARS + 1, 2):
        since = today - timedelta(days=365 * (YEARS - year))
        say("hourly", round(9_500 * _inflation(since)), since, None)
    for kind in kinds:
        for year in range(0, YEARS + 1, 5):
            since = today - timedelta(days=365 * (YEARS - year))
            for name, minor in (("price", kind.price), ("wheel", chance.randint(20, 90)), ("new", kind.price * 5)):
                say(name, round(minor * _inflation(since)), since, kind.pk)
            say("life", kind.most, since, kind.pk)
    Rate.objects.bulk_create(rows)


def _box(years: Years, buyers: list[Buyer], number: int, came: datetime, most: int) -> int:
    """One box with its lines; returns its pieces, `most` at most."""
    chance, tables, by = years.chance, years.tables, years.by
    buyer = chance.choices(buyers, cum_weights=shares(len(buyers)))[0]
    reached, when = _reached(chance, times_of(chance, came))
    batch = tables.batches.add(
        number,
        buyer.pk,
        f"PO-{number * 7 % 100_000:05d}",
        day(came + timedelta(days=14)),
        moment(came),
        by,
        reached == STAGES.index("left"),
    )
    times = as_times(when)
    events = record_events(tables, by, times, reached)
    parcel = tables.parcels.add(events["left"], batch, 1) if "left" in events else None
    count, inflation = 0, _inflation(came.date())
    for n in range(1, chance.randint(1, 6) + 1):
        size = min(line_size(chance), most - count)
        if size > 0:
            kind = chance.choices(buyer.kinds, cum_weights=buyer.weights)[0]
            line = _line(tables, batch, n, kind, came, by, round(kind.price * inflation), size)
            first = tables.pieces.last + 1
            LineStory(years, buyer, kind, batch, line, n, times, reached, events, inflation).tell(size)
            _pack(tables, events.get("left"), parcel, first)
            count += size
    return count


def _line(tables: Tables, batch: int, n: int, kind: Kind, came: datetime, by: int, price: int, size: int) -> int:
    line = tables.lines.add(batch, n, kind.pk, price, day(came))
    logged = tables.events.add("line logged", by, moment(came), moment(came))
    tables.changes.add(logged, line, "logged", f"{size} pieces")
    return line


def _reached(chance: random.Random, when: list[datetime]) -> tuple[int, list[datetime]]:
    """How far a box has come by now, and its times; what has not happened yet has none that is used."""
    now = timezone.now()
    return max(k for k, time in enumerate(when) if time <= now), [min(time, now) for time in when]


def _pack(tables: Tables, sent: int | None, parcel: int | None, first: int) -> None:
    """Into the parcel what has left."""
    if parcel is None:
        return
    for row in reversed(tables.pieces.rows):
        if row[0] < first:
            return
        if "left" in row:
            tables.parcel_pieces.add(sent, parcel, row[0])
