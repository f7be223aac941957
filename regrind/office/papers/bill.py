"""A bill's or credit note's paper: all of it as it was written down when it was made."""

from django.http import Http404

from regrind.paper import text, values
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.owner.letterhead import logo_of
from regrind.shop.owner.settings import shop_settings

from ..bill_models import Bill, BillLine, BillParcel
from .common import day_of, style_for


def bill_or_404(number: str, series: str = "") -> Bill:
    """The bill B-12 or credit note C-3; Http404 where there is none, or it is of another series."""
    letter, _, digits = number.partition("-")
    whole = read_whole(digits, 9) or 0
    rows = Bill.objects.select_related("customer", "credits_bill", "event__by").filter(series=letter, number=whole)
    bill = rows.first() if series in ("", letter) else None
    if bill is None:
        raise Http404(number)
    return bill


def bill_sheet(bill: Bill, revision: int = 1) -> values.BillSheet:
    """The values of its paper."""
    (seller, *seller_lines), (buyer, *buyer_lines) = bill.seller.split("\n"), bill.buyer.split("\n")
    head = values.Heading(
        number=str(bill),
        revision=revision,
        dated=bill.day,
        batch="",
        style=style_for(bill.customer),
        shop=values.Letterhead(seller, tuple(seller_lines), logo_of(shop_settings())),
        customer=values.Customer(buyer, tuple(buyer_lines), bill.buyer_contact),
    )

    def money(minor: int) -> values.Money:
        return values.Money(minor, bill.currency)

    return values.BillSheet(
        head,
        _rows(bill, head.style),
        money(bill.net_minor),
        tax_words(bill),
        money(bill.tax_minor),
        money(bill.total_minor),
        due=bill.due,
        pay_to=bill.pay_to,
        seller_tax_number=bill.seller_tax_number,
        buyer_tax_number=bill.buyer_tax_number,
        credits_bill=str(bill.credits_bill) if bill.credits_bill else "",
        note=bill.note,
        parcels=_parcels(bill),
    )


def _rows(bill: Bill, how: values.Style) -> tuple[values.BillRow, ...]:
    """Its lines as they were written down."""
    lines = BillLine.objects.filter(bill=bill).select_related("credits_line").order_by("position")
    return tuple(
        values.BillRow(
            text.composed(line.words, how),
            line.pieces,
            values.Money(line.each_minor, bill.currency),
            values.Money(line.minor, bill.currency),
            counted=line.counted,
        )
        for line in lines
    )


def _parcels(bill: Bill) -> tuple[str, ...]:
    """`11/1 of 21 May 2025`: what the bill is for, with the day on which each left. A credit note has none."""
    rows = BillParcel.objects.filter(bill=bill).select_related("parcel__batch", "parcel__event")
    parcels = sorted((row.parcel for row in rows), key=lambda parcel: (parcel.batch.number, parcel.number))
    return tuple(f"{parcel} of {text.day(day_of(parcel.done_at))}" for parcel in parcels)


def tax_words(bill: Bill) -> str:
    """`standard rate (S), 19 %`; where none is charged the reason."""
    kind = f"{bill.get_tax_display()} ({bill.tax})"
    return (
        f"{kind}, {bill.tax_milli / 1000:g} %" if bill.tax == "S" else ", ".join(filter(None, (kind, bill.tax_reason)))
    )
