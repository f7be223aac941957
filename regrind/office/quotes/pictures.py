"""What a quote shows beside its words: the drawing of what is proposed, and the photos that somebody chose for it."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from io import BytesIO

from django.utils.safestring import SafeString
from PIL import Image

from regrind.bench.planning.picture import draw_planned
from regrind.shop.files.photos import read

from ..quote_models import Quote, QuotePhoto, QuotePiece
from .settled import root_of

LONGEST_PX = 1_000  # of a photo on the customer's page: a phone's screen, and no more to load


@dataclass
class Pictures:
    """Of one item: its drawing as SVG ('' where its kind has none), and its photos; removed ones are left out."""

    drawing: SafeString | str = ""
    photos: list[QuotePhoto] = field(default_factory=list)


def pictures_of(quote: Quote) -> dict[int, Pictures]:
    """The pictures of each item by its key; a fixed number of queries. Drawn is the plan that the quote shows."""
    rows = QuotePiece.objects.filter(item__quote=quote).order_by("-pk")
    rows = rows.select_related("item__line__family", "item__line__batch__customer", "plan__copied_from")
    pictures = {row.item_id: Pictures(_draw(row)) for row in {row.item_id: row for row in rows}.values()}
    for photo in shown_photos(quote):
        pictures[photo.item_id].photos.append(photo)
    return pictures


def shown_photos(quote: Quote) -> Sequence[QuotePhoto]:
    """The photos of a quote that were not removed since."""
    rows = QuotePhoto.objects.filter(item__quote=quote, photo__event__undone_by=None)
    return list(rows.select_related("photo__piece", "photo__event__by", "photo__line__batch").order_by("item", "photo"))


def _draw(row: QuotePiece) -> SafeString | str:
    """What is proposed for an item; its way names the option."""
    _, _, index = str(row.item.shown["proposed"]).rpartition(":")
    if not index.isdecimal():
        return ""
    return draw_planned(root_of(row.plan), int(index), row.item.line.family, row.item.line.batch.customer.unit)


def small_jpeg(sha256: str) -> bytes | None:
    """A stored photo with no side longer than LONGEST_PX; None where its file is gone or was altered."""
    content = read(sha256)
    if content is None:
        return None
    image = Image.open(BytesIO(content))
    image.thumbnail((LONGEST_PX, LONGEST_PX))
    out = BytesIO()
    image.save(out, "JPEG", quality=82)
    return out.getvalue()
