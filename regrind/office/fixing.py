"""Fixing a batch's prices and terms: later changes of the list, the terms or a line no longer reach it."""

from collections.abc import Sequence
from datetime import date

from django.utils.dateformat import format as date_format
from django.utils.timezone import localdate

from regrind.record.models import Batch, Line
from regrind.record.rollups import touch
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.undo import Change, before_undo, depends_on

from .charge_models import FixedPrice, FixedTerms
from .charges import box_charges, fixed_prices, fixed_terms, prices_of
from .proposals import Proposal, propose


def fix_prices(*, by: Person, batch: Batch, because: str) -> FixedTerms:
    """Fix the prices of a batch's lines and its charges as they are now, once; a second call changes nothing.

    because: parcel, quote or bill. A line without a price takes the list's; where the list has none, or its pieces'
    work differs in price, the line stays without one until it is set.
    """
    with event(by, "prices fixed", why=f"batch {batch}") as fixing:
        # As they are once the batch is locked: rush and the customer's terms may have changed since it was read.
        batch = Batch.objects.select_for_update(no_key=True, of=("self",)).select_related("customer").get(pk=batch.pk)
        fixed = fixed_terms(batch)
        if fixed is not None:
            return fixed
        lines = list(batch.lines.select_related("family"))
        take_list(lines, propose(batch, lines), localdate())
        rush, least = box_charges(batch)
        _fix_lines(fixing, batch, lines)
        return FixedTerms.objects.create(
            event=fixing,
            batch=batch,
            because=because,
            rush_minor=rush,
            least_minor=least,
            currency=shop_settings().currency,
        )


def take_list(lines: Sequence[Line], proposals: dict[int, Proposal], day: date) -> None:
    """Write the list's price into each line that has none yet. Runs within an event."""
    priced = [line for line in lines if line.unit_price_minor is None and proposals[line.pk].minor is not None]
    for line in priced:
        proposal = proposals[line.pk]
        line.unit_price_minor, line.price_since, line.price_why = proposal.minor, day, proposal.why[:200]
        line.save(update_fields=["unit_price_minor", "price_since", "price_why"])
    touch(lines=[line.pk for line in priced])


def _fix_lines(fixing: Event, batch: Batch, lines: Sequence[Line]) -> None:
    """Every item, so that none comes about later; the regrind only where it has a price."""
    prices = prices_of(batch, lines)
    FixedPrice.objects.bulk_create(
        [
            FixedPrice(event=fixing, line=line, item=item, minor=minor or 0)
            for line in lines
            for item, minor in prices[line.pk].items()
            if minor is not None or item != "price"
        ]
    )


def fix_late_prices(*, by: Person, batch: Batch) -> None:
    """Fix the price of lines that got theirs after the others were fixed."""
    lines = list(batch.lines.select_related("family"))
    known = set(FixedPrice.objects.filter(line__in=lines, item="price").values_list("line", flat=True))
    late = [line for line in lines if line.pk not in known and line.unit_price_minor is not None]
    if late:
        with event(by, "prices fixed", why=f"batch {batch}") as fixing:
            FixedPrice.objects.bulk_create(
                [FixedPrice(event=fixing, line=line, item="price", minor=line.unit_price_minor or 0) for line in late]
            )


def lock_and_refuse(lines: Sequence[Line]) -> None:
    """Lock the batches of these lines until the event ends. Refusal where a line's price is fixed; a line that had none
    when the others were fixed may still get one, which is fixed when its bill is made."""
    for pk in sorted({line.batch_id for line in lines}):
        batch = Batch.objects.select_for_update(no_key=True, of=("self",)).select_related("customer").get(pk=pk)
        fixed = fixed_terms(batch)
        if fixed is None:
            continue
        fixed_lines = fixed_prices(batch, lines)
        for line in lines:
            if fixed_lines.get(line.pk, {}).get("price") is not None:
                raise Refusal(f"{say_fixed(fixed)} Line {line.number} keeps its price: correct it with a credit note.")


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
