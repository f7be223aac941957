"""Making bills and credit notes, and marking them paid. All writes of bills are here."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from django.db.models import Sum
from django.utils import timezone

from regrind.record.contacts import address_for, address_lines, contact_for, country_of
from regrind.record.models import Customer
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Event, Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.undo import Change, before_undo

from ..bill_models import Bill, BillLine, BillParcel, BillPayment, BillSeries
from ..charge_models import FixedTerms
from ..fixing import fix_late_prices, fix_prices
from ..models import Parcel
from .billed_lines import lines_of
from .sums import Totals, bill_totals, credit_totals
from .terms import Terms, terms_for
from .unbilled import charge_parcels

BILL, CREDIT = "B", "C"


def make_bill(
    *, by: Person, customer: Customer, parcels: Sequence[Parcel], day: date | None = None, note: str = ""
) -> Bill:
    """One bill for these parcels of a customer, with the next number; their prices are fixed with it.

    day: of the bill, today if None. Refusal where a line has no price, nothing is charged, or the terms lack something;
    Conflict where a parcel was billed or undone meanwhile.
    """
    if not parcels:
        raise Refusal("Tick at least one parcel to bill.")
    with event(by, "billed", why=customer.name) as billing:
        batches = {parcel.batch_id: parcel.batch for parcel in parcels}.values()
        fix_prices(by=by, batches=batches, because="bill")
        fix_late_prices(by=by, batches=batches)
        rows = charge_parcels(_lock_parcels(customer, parcels))
        unpriced = [f"{line}" for row in rows for line in row.charges.open_lines]
        if unpriced:
            raise Refusal(f"Line {', '.join(unpriced)} has no price yet. Set it on the page of the batch's prices.")
        lines = [line for row in rows for line in lines_of(row)]
        day, currency = day or timezone.localdate(), _one_currency(parcels)
        made = _write(billing, BILL, customer, terms_for(customer), lines, day, currency=currency, note=note)
        BillParcel.objects.bulk_create([BillParcel(event=billing, bill=made, parcel=row.parcel) for row in rows])
    return made


def _one_currency(parcels: Sequence[Parcel]) -> str:
    """The currency that the prices of these parcels' batches were fixed in. Refusal where they differ."""
    rows = FixedTerms.objects.filter(batch__in=[parcel.batch_id for parcel in parcels])
    currencies = sorted(set(rows.values_list("currency", flat=True)))
    if len(currencies) != 1:
        raise Refusal(f"These parcels were priced in {' and '.join(currencies)}. Make a bill for each currency.")
    return currencies[0]


def _lock_parcels(customer: Customer, parcels: Sequence[Parcel]) -> list[Parcel]:
    """These parcels, whose batches are locked; none of them billed or undone."""
    rows = Parcel.objects.filter(pk__in=[parcel.pk for parcel in parcels], batch__customer=customer)
    open_rows = rows.exclude(pk__in=BillParcel.objects.values("parcel"))
    current = list(open_rows.select_related("batch__customer", "event").order_by("batch__number", "number"))
    if len(current) != len(parcels):
        raise Conflict("One of these parcels was billed or undone meanwhile. Look at what is to be billed again.")
    return current


def _write(
    making: Event,
    series: str,
    customer: Customer,
    terms: Terms,
    lines: Sequence[BillLine],
    day: date,
    *,
    currency: str = "",
    note: str = "",
    credits_bill: Bill | None = None,
    totals: Totals | None = None,
) -> Bill:
    """The bill with its lines; the number is taken last, so that its row is locked for as short as can be."""
    sums = totals or bill_totals([line.minor for line in lines], terms.tax_milli)
    if not sums.net:
        raise Refusal("Nothing is charged for this. Choose something with an amount.")
    due = day + timedelta(days=terms.due_days) if series == BILL and terms.due_days is not None else None
    made = Bill.objects.create(
        event=making,
        series=series,
        number=next_number(series),
        customer=customer,
        credits_bill=credits_bill,
        day=day,
        due=due,
        **_parties(customer, terms),
        currency=credits_bill.currency if credits_bill else currency,
        pay_to=terms.pay_to,
        note=note[:500],
        net_minor=sums.net,
        tax=terms.tax,
        tax_milli=terms.tax_milli,
        tax_reason=terms.tax_reason,
        tax_minor=sums.tax,
        total_minor=sums.total,
    )
    _write_lines(made, lines)
    return made


def _write_lines(bill: Bill, lines: Sequence[BillLine]) -> None:
    for position, line in enumerate(lines, start=1):
        line.event, line.bill, line.position = bill.event, bill, position
    BillLine.objects.bulk_create(lines)


def _parties(customer: Customer, terms: Terms) -> dict[str, str]:
    """Who bills whom, in words as of today."""
    shop, address = shop_settings(), address_for(customer, "bills")
    return {
        "seller": "\n".join([shop.name, *shop.address.splitlines(), *filter(None, (shop.phone, shop.mail))]),
        "seller_tax_number": terms.seller_tax_number,
        "buyer": "\n".join([customer.name, *address_lines(address)]),
        "buyer_contact": str(contact_for(customer, "bills") or ""),
        "buyer_street": ", ".join((address.street if address else "").splitlines()),
        "buyer_postcode": address.postcode if address else "",
        "buyer_town": address.town if address else "",
        "buyer_country": country_of(address),
        "buyer_tax_number": terms.buyer_tax_number,
    }


def next_number(series: str) -> int:
    """The next number of a series. Its row stays locked until the event is committed; an event that fails leaves the
    number to the next one, so that there is no gap."""
    BillSeries.objects.get_or_create(series=series)
    row = BillSeries.objects.select_for_update().get(series=series)
    row.last += 1
    row.save(update_fields=["last"])
    return row.last


def rest_of(bill: Bill) -> Totals:
    """What of a bill was not credited yet."""
    sums = Bill.objects.filter(credits_bill=bill).aggregate(net=Sum("net_minor"), tax=Sum("tax_minor"))
    return Totals(bill.net_minor - (sums["net"] or 0), bill.tax_minor - (sums["tax"] or 0))


def rest_of_lines(bill: Bill) -> dict[int, int]:
    """By line of a bill, the minor units not credited yet."""
    lines = list(BillLine.objects.filter(bill=bill).order_by("position"))
    rows = BillLine.objects.filter(credits_line__in=lines).order_by().values_list("credits_line")
    credited: dict[int, int] = dict(rows.annotate(sum=Sum("minor")))
    return {line.pk: line.minor - credited.get(line.pk, 0) for line in lines}


def credit(*, by: Person, bill: Bill, amounts: Mapping[BillLine, int], why: str, day: date | None = None) -> Bill:
    """A credit note for lines of a bill: amounts in minor units by line, none above what is not credited yet.

    why: stands on the note. Refusal where nothing is credited, it is too much, or no reason is written.
    """
    wanted = {line: minor for line, minor in amounts.items() if minor}
    if not why.strip():
        raise Refusal("Write why it is credited: the credit note says it.")
    if not wanted:
        raise Refusal("Write the amount to credit beside at least one line.")
    with event(by, "credited", why=f"{bill}: {why}") as crediting:
        Bill.objects.select_for_update(no_key=True, of=("self",)).get(pk=bill.pk)
        rest = rest_of_lines(bill)
        for line, minor in wanted.items():
            if minor > rest.get(line.pk, 0):
                raise Refusal(
                    f"Line {line.position} has {rest.get(line.pk, 0) / 100:.2f} not credited yet. Write less."
                )
        lines = [_credit_line(line, minor) for line, minor in wanted.items()]
        totals = credit_totals([line.minor for line in lines], bill.tax_milli, rest_of(bill))
        terms = Terms(
            bill.tax, bill.tax_milli, bill.tax_reason, None, "", bill.seller_tax_number, bill.buyer_tax_number
        )
        day = day or timezone.localdate()
        return _write(crediting, CREDIT, bill.customer, terms, lines, day, note=why, credits_bill=bill, totals=totals)


def _credit_line(line: BillLine, minor: int) -> BillLine:
    whole = minor == line.minor
    return BillLine(
        batch_id=line.batch_id,
        line_id=line.line_id,
        credits_line=line,
        item=line.item,
        words=line.words,
        pieces=line.pieces if whole else 1,
        each_minor=line.each_minor if whole else minor,
        minor=minor,
    )


def open_minor(bill: Bill) -> int:
    """What is still to be paid of a bill: its total less credit notes and payments."""
    paid = BillPayment.objects.filter(bill=bill).aggregate(sum=Sum("minor"))["sum"] or 0
    return rest_of(bill).total - paid


def mark_paid(*, by: Person, bill: Bill, minor: int, day: date | None = None, how: str = "") -> BillPayment:
    """Note money that came for a bill. Refusal where it is nothing, or more than is open."""
    with event(by, "paid", why=f"{bill}") as paying:
        Bill.objects.select_for_update(no_key=True, of=("self",)).get(pk=bill.pk)
        rest = open_minor(bill)
        if not 0 < minor <= rest:
            raise Refusal(f"{minor / 100:.2f} was read, and {rest / 100:.2f} is open. Write an amount up to that.")
        return BillPayment.objects.create(
            event=paying, bill=bill, minor=minor, day=day or timezone.localdate(), how=how[:120]
        )


def _keep_billed(done: Event, changes: Sequence[Change]) -> None:
    """A parcel on a bill stays sent, and so does the one whose leaving fixed the prices of a bill."""
    billed = BillParcel.objects.filter(parcel__event=done).select_related("bill", "parcel__batch").first()
    if billed is not None:
        raise Refusal(f"Parcel {billed.parcel} is on bill {billed.bill}. Credit the bill instead.", event=billed.event)
    fixed = FixedTerms.every.filter(event=done).values("batch")
    relied = BillParcel.objects.filter(parcel__batch__in=fixed).select_related("bill", "event").order_by("pk").last()
    if relied is not None:
        raise Refusal(
            f"It fixed the prices that bill {relied.bill} is made of. Credit the bill instead.", event=relied.event
        )


before_undo(_keep_billed)
