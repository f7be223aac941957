"""Making quotes and their links, and revoking links. All writes of both are here."""

import json
from collections.abc import Collection, Sequence
from datetime import datetime, time, timedelta

from django.conf import settings
from django.db.models import Max, QuerySet
from django.utils import timezone

from regrind.record.models import Batch
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Person
from regrind.shop.owner.settings import shop_settings

from ..fixing import fix_prices
from ..quote_models import Quote, QuoteItem, QuoteLink, QuoteLinkEnd, QuotePhoto, QuotePiece
from . import links
from .content import DraftItem, draft_quote
from .states import state_of

USUAL_DAYS, MOST_DAYS = 30, 365
MOST_PHOTOS = 6  # of one item: what a phone and half a page of the paper take


def make_quote(
    *, by: Person, batch: Batch, days: int = USUAL_DAYS, note: str = "", photos: Collection[int] = ()
) -> Quote:
    """A quote of what a box has waiting for the customer, with the next number; the box's prices are fixed with it.

    days: how long it is valid, 1 to 365, counted from today. photos: the keys of those that the customer sees, of the
    draft's photos. The links of earlier quotes of the box end. Refusal where nothing waits for the customer, the days
    are out of range, a way to grind has no price, or an item would have more than MOST_PHOTOS.
    """
    if not 1 <= days <= MOST_DAYS:
        raise Refusal(f"{days} days is out of range. Write 1 to {MOST_DAYS}.")
    with event(by, "quoted", why=f"batch {batch}") as quoting:
        fix_prices(by=by, batches=[batch], because="quote")
        draft = draft_quote(batch)
        if not draft.items:
            raise Refusal("Nothing of this box waits for the customer. Ask about a tool on its plan's page first.")
        if draft.unpriced:
            raise Refusal(f"{_say_unpriced(draft.unpriced)}: a quote holds its prices. Set them under Prices first.")
        _end_links(quoting, QuoteLink.objects.filter(quote__batch=batch), "a later quote was made")
        last = Quote.every.filter(batch=batch).aggregate(m=Max("number"))["m"] or 0
        quote = Quote.objects.create(
            event=quoting,
            batch=batch,
            number=last + 1,
            valid_until=timezone.localdate() + timedelta(days=days),
            note=note,
            currency=shop_settings().currency,
            content=json.dumps(draft.shown),
        )
        for position, item in enumerate(draft.items, start=1):
            _write_item(quoting, quote, position, item, photos)
    return quote


def _say_unpriced(items: Sequence[DraftItem]) -> str:
    """`No price yet for line 1 (end), line 2 (sides)`."""
    return f"No price yet for {', '.join(f'line {item.line.number} ({item.unpriced})' for item in items)}"


def _lock(batch: Batch) -> None:
    Batch.objects.select_for_update(no_key=True).get(pk=batch.pk)


def _write_item(quoting: Event, quote: Quote, position: int, draft: DraftItem, photos: Collection[int]) -> None:
    chosen = [photo for photo in draft.photos if photo.pk in photos]
    if len(chosen) > MOST_PHOTOS:
        raise Refusal(f"Line {draft.line.number} has {len(chosen)} photos ticked. Tick {MOST_PHOTOS} at most.")
    item = QuoteItem.objects.create(
        event=quoting, quote=quote, position=position, line=draft.line, content=json.dumps(draft.shown)
    )
    QuotePiece.objects.bulk_create(
        [QuotePiece(event=quoting, item=item, piece=piece, plan=draft.plans[piece.pk]) for piece in draft.pieces]
    )
    QuotePhoto.objects.bulk_create([QuotePhoto(event=quoting, item=item, photo=photo) for photo in chosen])


def make_link(*, by: Person | None, quote: Quote, beside: bool = False) -> str:
    """A new link to the quote's page: its token, which is stored nowhere. Earlier links of the quote end, unless it is
    to stand beside them.

    Refusal where the shop has no public address, or the quote can no longer be answered.
    """
    if not settings.PUBLIC_ADDRESS:
        raise Refusal("The program has no public address, so no link can be opened. Let the customer answer by phone.")
    with event(by, "quote link", why=f"quote {quote}") as linking:
        _lock(quote.batch)
        state = state_of(quote)
        if not state.open:
            raise Refusal(f"Quote {quote} can no longer be answered: {state.words}.")
        if not beside:
            _end_links(linking, QuoteLink.objects.filter(quote=quote), "a new link was made")
        token = links.new_token()
        ends = timezone.make_aware(datetime.combine(quote.valid_until + timedelta(days=1), time.min))
        QuoteLink.objects.create(event=linking, quote=quote, digest=links.digest_of(token), ends_at=ends)
    return token


def revoke_links(*, by: Person | None, quote: Quote) -> None:
    """End every link of a quote at once. Refusal where none is open."""
    with event(by, "quote link ended", why=f"quote {quote}") as ending:
        _lock(quote.batch)
        if not _end_links(ending, QuoteLink.objects.filter(quote=quote), "revoked"):
            raise Refusal(f"Quote {quote} has no link that could be revoked.")


def end_link(link: QuoteLink) -> None:
    """End one link whose mail did not go; the quote's other links stay."""
    with event(None, "quote link ended", why=f"quote {link.quote}") as ending:
        _end_links(ending, QuoteLink.objects.filter(pk=link.pk), "its mail did not go")


def _end_links(ending: Event, rows: QuerySet[QuoteLink], why: str) -> int:
    open_links = list(rows.filter(revoked=None))
    QuoteLinkEnd.objects.bulk_create([QuoteLinkEnd(event=ending, link=link, why=why) for link in open_links])
    return len(open_links)
