"""Fixing a batch's prices and terms: later changes of the list, the terms or a line no longer reach it."""

from collections.abc import Collection, Sequence
from datetime import date

from django.db.models import Exists, OuterRef
from django.utils.dateformat import format as date_format
from django.utils.timezone import localdate

from regrind.record.models import Batch, Line
from regrind.record.rollups import touch
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.undo import Change, before_undo, depends_on

from .charge_models import FixedPrice, FixedTerms
from .charges import box_charges, fixed_prices, prices_of, terms_of
from .proposals import PriceList, Proposal, propose


def fix_prices(*, by: Person, batches: Collection[Batch], because: str) -> None:
    """Fix the prices of the batches' lines and their charges as they are now, once; a second call changes nothing.
    The batches stay locked until the event ends.

    because: parcel, quote or bill. A line without a price takes the list's; where the list has none, or its pieces'
    work differs in price, the line stays without one until it is set.
    """
    with event(by, "prices fixed", why=f"batch {', '.join(map(str, batches))}") as fixing:
        # As they are once the batches are locked: rush and the customer's terms may have changed since they were read.
        locked = _lock({batch.pk for batch in batches})
        known, currency = terms_of(locked), shop_settings().currency
        new = [batch for batch in locked if batch.pk not in known]
        if not new:
            return
        lines, asked = list(Line.objects.filter(batch__in=new).select_related("family", "batch")), PriceList(new)
        take_list(lines, propose(lines, asked), localdate())
        _fix_lines(fixing, lines, asked)
        charges = [(batch, *box_charges(batch, asked, None)) for batch in new]
        FixedTerms.objects.bulk_create(
            FixedTerms(
                event=fixing, batch=batch, because=because, rush_minor=rush, least_minor=least, currency=currency
            )
            for batch, rush, least in charges
        )


def _lock(batches: Collection[int]) -> list[Batch]:
    """Lock these batches until the event ends, in one order, so that two events never wait for each other."""
    rows = Batch.objects.select_for_update(no_key=True, of=("self",)).select_related("customer")
    return list(rows.filter(pk__in=batches).order_by("pk"))


def take_list(lines: Sequence[Line], proposals: dict[int, Proposal], day: date) -> None:
    """Write the list's price into each line that has none yet. Runs within an event."""
    priced = [line for line in lines if line.unit_price_minor is None and proposals[line.pk].minor is not None]
    for line in priced:
        proposal = proposals[line.pk]
        line.unit_price_minor, line.price_since, line.price_why = proposal.minor, day, proposal.why[:200]
    Line.objects.bulk_update(priced, ["unit_price_minor", "price_since", "price_why"])
    touch(lines=[line.pk for line in priced])


def _fix_lines(fixing: Event, lines: Sequence[Line], asked: PriceList) -> None:
    """Every item, so that none comes about later; the regrind only where it has a price."""
    prices = prices_of(lines, asked)
    FixedPrice.objects.bulk_create(
        [
            FixedPrice(event=fixing, line=line, item=item, minor=minor or 0)
            for line in lines
            for item, minor in prices[line.pk].items()
            if minor is not None or item != "price"
        ]
    )


def fix_late_prices(*, by: Person, batches: Collection[Batch]) -> None:
    """Fix the price of lines that got theirs after the others were fixed."""
    known = FixedPrice.objects.filter(line=OuterRef("pk"), item="price")
    late = Line.objects.filter(~Exists(known), batch__in=batches, unit_price_minor__isnull=False)
    with event(by, "prices fixed", why=f"batch {', '.join(map(str, batches))}") as fixing:
        FixedPrice.objects.bulk_create(
            FixedPrice(event=fixing, line=line, item="price", minor=line.unit_price_minor or 0) for line in late
        )


def lock_and_refuse(lines: Sequence[Line]) -> None:
    """Lock the batches of these lines until the event ends. Refusal where a line's price is fixed; a line that had none
    when the others were fixed may still get one, which is fixed when its bill is made."""
    terms, prices = terms_of(_lock({line.batch_id for line in lines})), fixed_prices(lines)
    for line in lines:
        if prices.get(line.pk, {}).get("price") is not None:
            why = say_fixed(terms[line.batch_id])
            raise Refusal(f"{why} Line {line.number} keeps its price: correct it with a credit note.")


def say_fixed(fixed: FixedTerms) -> str:
    """`The prices were fixed on 3 Dec 2026, when its last parcel left.`"""
    day = date_format(localdate(fixed.done_at), "j M Y")
    return f"The prices were fixed on {day}, when {fixed.get_because_display()}."


def _keep_fixed(done: Event, changes: Sequence[Change]) -> None:
    """A price that was fixed since is not put back."""
    lines = [change.pk for change in changes if change.model is Line and "unit_price_minor" in change.new]
    later = FixedPrice.objects.filter(line__in=lines, event__gt=done.pk).select_related("event__by").last()
    if later is not None:
        raise depends_on(later.event)


before_undo(_keep_fixed)
