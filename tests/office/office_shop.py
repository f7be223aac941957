"""Shops made by chance whose office works too: a price list, terms, quotes, items beside the regrind, bills."""

from datetime import timedelta

from django.utils import timezone

from regrind.bench.grinding.actions import count_back, grind, send_to_coater
from regrind.bench.models import Grind
from regrind.office.actions import record_answer, send_parcel, set_prices
from regrind.office.bills.making import make_bill
from regrind.office.bills.terms import keep_terms
from regrind.office.bills.unbilled import unbilled_parcels
from regrind.office.extras import BY_PIECE
from regrind.office.quotes.making import make_quote
from regrind.receiving.actions import change_batch
from regrind.record.actions import keep_customer
from regrind.record.models import Batch, Line
from regrind.record.rate_changes import keep_list
from regrind.record.rates import SHOP, Band
from regrind.shop.models import Person
from tests.rollups.shop_maker import Shop

WORKS = ("", "sides", "end", "sides end")
OFFICE = ("list", "customer_list", "terms", "rush", "extras", "quote", "answer", "more", "coat", "back", "send_some")
NOT_NEEDED = ("marks", "tag", "rates", "miss", "find", "retell", "merge", "apart", "recount")


class OfficeShop(Shop):
    """A shop under a seed, as `Shop`, with what its office does."""

    def __init__(self, seed: int, by: Person) -> None:
        super().__init__(
            seed,
            by,
            {"look": 18, "grind": 18, "check": 18, "send": 6, "price": 8, "unsend": 1, **dict.fromkeys(NOT_NEEDED, 0)},
        )
        self.events += [(getattr(self, name), 5) for name in OFFICE] + [(self.bill, 2)]
        keep_terms(by=by, customer=None, tax="S", tax_milli=19_000, tax_number="XX123")

    def amount(self) -> int:
        return self.chance.randint(1, 3_000)

    def list(self) -> None:
        """Everybody's list says something new, of one kind or of some sizes."""
        scope = self.chance.choice((SHOP, (None, "square"), Band(over_nm=6_500_000), Band(teeth_from=4, teeth_to=4)))
        self.keep({(scope, "price", self.chance.choice(WORKS)): self.amount()})
        self.keep({(scope, self.chance.choice(BY_PIECE), ""): self.chance.choice((None, self.amount()))})
        self.keep({(SHOP, self.chance.choice(("rush", "least", "hourly")), ""): 3 * self.amount()})

    def customer_list(self) -> None:
        whose = Band(customer=self.chance.choice(self.customers).pk)
        item = self.chance.choice(("price", "corner", "inspection", "rush", "least", "discount"))
        self.keep({(whose, item, ""): self.amount()})

    def keep(self, entries) -> None:
        since = timezone.localdate() - timedelta(days=self.chance.choice((0, 30, 500)))
        keep_list(by=self.by, entries=entries, from_day=since, stale=lambda: False)

    def terms(self) -> None:
        keep_customer(
            by=self.by,
            customer=self.chance.choice(self.customers),
            batch_minimum_minor=self.chance.choice((0, 5 * self.amount())),
            rush_charge_minor=self.chance.choice((0, self.amount())),
        )

    def rush(self) -> None:
        change_batch(by=self.by, batch=self.pick(Batch.objects), rush=True)

    def extras(self) -> None:
        line, item = self.pick(Line.objects), self.chance.choice(BY_PIECE)
        set_prices(by=self.by, prices={}, extras={(line, item): self.chance.choice((0, self.amount()))})

    def quote(self) -> None:
        make_quote(by=self.by, batch=self.pick(Batch.objects.filter(pieces__status="waiting")))

    def answer(self) -> None:
        pieces = self.some("waiting")
        decision = self.chance.choice(("grind", "grind", "grind", "scrap", "returned_unground"))
        record_answer(
            by=self.by, line=pieces[0].line, pieces=pieces, who="Ann", how="phone", agreed="yes", decision=decision
        )

    def more(self) -> None:
        """Ground with a corner, or with the end gashed again."""
        pieces = self.some("ready_to_grind")
        parts = self.chance.choice((["sides", "corner"], ["corner"], ["sides", "end", "corner"], ["end"]))
        seen = {row.piece_id: row.revision for row in Grind.every.filter(piece__in=pieces).order_by("revision")}
        grind(by=self.by, pieces=pieces, expected=seen, grinds=parts, gashed=self.chance.random() < 0.5)

    def coat(self) -> None:
        pieces = self.some("ground")
        send_to_coater(by=self.by, batch=pieces[0].batch, pieces=pieces, number="1", coater="Coater", coating="TiN")

    def back(self) -> None:
        count_back(by=self.by, pieces=self.some("at_coater"))

    def send_some(self) -> None:
        """All that is released of a box leaves."""
        batch = self.pick(Batch.objects.filter(pieces__status="released").distinct())
        send_parcel(by=self.by, batch=batch, pieces=list(batch.pieces.filter(status="released")))

    def bill(self) -> None:
        customer = self.chance.choice(self.customers)
        ready = [row.parcel for row in unbilled_parcels(customer) if row.ready]
        make_bill(by=self.by, customer=customer, parcels=ready[:3])
