"""A quote's paper: all of it as it was written down when the quote was made."""

from typing import Any

from django.http import Http404
from django.utils.text import capfirst

from regrind.bench.models import Photo
from regrind.paper import text, values
from regrind.record.find import batch_or_404
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.files.photos import read
from regrind.shop.owner.settings import shop_settings

from ..quote_models import Quote, QuoteItem
from ..quotes.pictures import Pictures, pictures_of
from ..quotes.shown import Settled, SettledRow, settled_parts
from ..quotes.words import say_where_to_answer
from .common import day_of, heading


def quote_or_404(number: str) -> Quote:
    """The quote 417/1; Http404 where there is none."""
    batch, _, digits = number.partition("/")
    whole = read_whole(digits, 4)
    rows = Quote.objects.select_related("batch__customer", "event__by").filter(batch=batch_or_404(batch))
    quote = rows.filter(number=whole).first() if whole else None
    if quote is None:
        raise Http404(number)
    return quote


def quote_sheet(quote: Quote, revision: int = 1, address: str = "") -> values.QuoteSheet:
    """The values of its paper. address: of the customer's page, for a sheet that is handed out and not stored."""
    head = heading(quote.batch, str(quote), revision, day_of(quote.done_at), use="bills", mails="quotes")
    shown, style = quote.shown, head.style
    pictures = pictures_of(quote)
    items = QuoteItem.objects.filter(quote=quote).order_by("position")
    return values.QuoteSheet(
        head,
        tuple(_item(item.shown, quote.currency, style, pictures[item.pk]) for item in items),
        quote.valid_until,
        say_where_to_answer(shop_settings(), str(quote)),
        settled=tuple(_part(part, quote.currency, style) for part in settled_parts(quote)),
        uninspected=shown["uninspected"],
        rush=_money(shown["rush_minor"] or None, quote.currency),
        least=_money(shown["least_minor"] or None, quote.currency),
        note=quote.note,
        address=address,
    )


def _money(minor: int | None, currency: str) -> values.Money | None:
    return None if minor is None else values.Money(minor, currency)


def _item(shown: dict[str, Any], currency: str, style: values.Style, pictures: Pictures) -> values.QuotedTools:
    options = [
        values.QuoteOption(
            option["words"],
            text.composed(option["after"], style),
            option["worth"],
            _money(option["price_minor"], currency),
            option["way"] == shown["proposed"],
        )
        for option in shown["options"]
    ]
    return values.QuotedTools(
        str(shown["line"]),
        text.composed(shown["tool"], style),
        shown["pieces"],
        shown["count"],
        text.composed(capfirst(shown["reason"]), style),
        text.composed(shown["now"], style),
        text.composed(shown["limit"], style),
        tuple(options),
        shown["part_number"],
        _money(shown["not_ground_minor"] or None, currency),
        _money(shown["coating_minor"] or None, currency),
        str(pictures.drawing),
        tuple(_photo(row.photo) for row in pictures.photos),
    )


def _photo(photo: Photo) -> values.Photo:
    return values.Photo(read(photo.sha256) or b"", f"{photo.subject}: {photo.description}")


def _part(part: Settled, currency: str, style: values.Style) -> values.QuotePart:
    return values.QuotePart(part.title, tuple(_row(row, currency, style) for row in part.rows))


def _row(row: SettledRow, currency: str, style: values.Style) -> values.QuoteRow:
    """A row that needs no answer: what is ground with the size after, or why it is not."""
    tool, words = text.composed(row.tool, style), text.composed(row.words, style)
    price = _money(row.price_minor, currency)
    return values.QuoteRow(str(row.line), tool, row.pieces, row.count, words, price, row.priced)
