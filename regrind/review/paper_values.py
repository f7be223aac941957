"""The printed summary of the review: the shop's own, or a customer's, without earnings."""

from collections.abc import Sequence
from datetime import date

from django.utils.dateformat import format as date_format

from regrind.geometry.units import Unit, show_with_unit
from regrind.paper import review as paper
from regrind.paper import text, values
from regrind.record.contacts import address_for, address_lines, contact_for
from regrind.shop.models import ShopSettings
from regrind.shop.owner.letterhead import letterhead

from .filters import ReviewFilter, WhatIf
from .rows import Row
from .words import advise, say_changes, say_few, say_money, say_tried

MOST_REASONS = 1


def draw(rows: Sequence[Row], look: ReviewFilter, what_if: WhatIf, shop: ShopSettings, today: date) -> bytes:
    """The PDF of these rows; a what-if is named above them."""
    unit = look.customer.unit if look.customer else shop.unit
    head = values.Heading(
        number=text.day(today),
        dated=today,
        batch="",
        style=values.Style(unit, page=shop.paper),
        shop=letterhead(shop),
        customer=_customer(look),
    )
    family_rows = tuple(_row(row, unit, shop.currency, for_owner=look.customer is None) for row in rows)
    return paper.draw_one_page(
        values.Review(
            head,
            period(look, today, unit),
            family_rows,
            _note(look),
            f"{summary(rows, look, shop)}{_tried(what_if, look, shop)}",
        )
    )


def _customer(look: ReviewFilter) -> values.Customer:
    whose = look.customer
    if whose is None:
        return values.Customer("")
    address, contact = address_for(whose, "bills"), contact_for(whose, "quotes")
    return values.Customer(whose.name, tuple(address_lines(address)), str(contact or ""))


def _tried(what_if: WhatIf, look: ReviewFilter, shop: ShopSettings) -> str:
    """What was tried; a customer reads that it is a what-if, not the shop's own figures."""
    tried = say_tried(what_if, shop.currency)
    if tried and look.customer:
        return " The advice is for a what-if, not for the present prices. The figures are those of the record."
    return f" The advice is for a what-if: {tried}. The figures are those of the record." if tried else ""


def period(look: ReviewFilter, today: date, unit: Unit) -> str:
    """The months and the other filters, in words."""
    since = f"from {date_format(look.since, 'M Y')}" if look.since else "all boxes"
    least, most = (None if nm is None else show_with_unit(nm, unit) for nm in (look.least_nm, look.most_nm))
    parts = [
        f"{since} until {date_format(look.until or today, 'M Y')}",
        *([look.material] if look.material else []),
        *(
            [f"from {least} diameter" if most is None else f"{least} to {most} diameter"]
            if least
            else [f"up to {most} diameter"]
            if most
            else []
        ),
    ]
    return ", ".join(parts)[:1].upper() + ", ".join(parts)[1:]


def summary(rows: Sequence[Row], look: ReviewFilter, shop: ShopSettings) -> str:
    """Received, good, saved: in a sentence."""
    received, good = sum(row.sums.received for row in rows), sum(row.sums.good for row in rows)
    decided = sum(row.sums.decided for row in rows)
    sentence = (
        f"{text.plural(received, 'tool')} received. Of {decided} finished, {good} were reground without a complaint."
    )
    priced = [row for row in rows if row.sums.saved_n]
    if priced:
        whose = "you" if look.customer else "the customers"
        counted = sum(row.sums.saved_n for row in priced)
        sentence += (
            f" Compared with buying new, this saved {whose} {say_money(sum(row.sums.saved_minor for row in priced))} "
            f"{shop.currency}, counting the {text.plural(counted, 'tool')} whose new price is known."
        )
    return sentence


def _note(look: ReviewFilter) -> str:
    note = (
        "From – to is the 95 % interval: with few tools it is wide. Reground counts tools not returned as a complaint."
    )
    return note if look.customer else f"{note} Earned is price less wheel cost, per bench minute."


def _row(row: Row, unit: Unit, currency: str, *, for_owner: bool) -> values.FamilyRow:
    decided, within = row.sums.decided, row.good_within
    not_ground = round(100 * (row.sums.returned_unground + row.sums.scrap) / decided) if decided else None
    return values.FamilyRow(
        row.family.name(unit) if row.family else "",
        row.sums.received,
        _percent(row.good_share),
        None if row.stock_nm is None else values.Length(round(row.stock_nm / 2)),
        _places(row.regrinds_before),
        f"about {row.regrinds_left:.1f}" if row.regrinds_left is not None else "",
        f"{row.minutes_hundredths / 100:.1f}" if for_owner and row.minutes_hundredths is not None else "",
        _money(row.price_minor, currency),
        not_ground,
        "; ".join(line.key for line in row.reasons[:MOST_REASONS]),
        row.sums.complained,
        advice=_advice(row, for_owner),
        reground_from=_percent(within.low) if decided else None,
        reground_to=_percent(within.high) if decided else None,
        saved=_money(row.saves_minor, currency),
        earned=_money(row.earns_minor, currency) if for_owner else None,
    )


def _advice(row: Row, for_owner: bool) -> str:
    if row.verdict is None:
        return ""
    if not for_owner:
        return advise(row.verdict)
    more = say_few(row.verdict) or say_changes(row.verdict)
    return f"{row.verdict.words}: {more}" if more else row.verdict.words


def _percent(share: float | None) -> int | None:
    return None if share is None else round(100 * share)


def _places(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"


def _money(minor: float | None, currency: str) -> values.Money | None:
    return None if minor is None else values.Money(round(minor), currency)
