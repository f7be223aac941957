"""Pictures made for a test, and one kept with a line."""

from io import BytesIO

from PIL import Image

from regrind.bench.models import Photo
from regrind.bench.photographs.actions import add_photo
from regrind.record.models import Line, Piece
from regrind.shop.files import photos
from regrind.shop.models import Person


def picture(kind: str = "JPEG", size: tuple[int, int] = (320, 200), mode: str = "RGB", colour="red", **more) -> bytes:
    """A picture of one colour whose left half is black, so that its way up can be told."""
    image = Image.new(mode, size, colour)
    image.paste(Image.new(mode, (size[0] // 2, size[1])), (0, 0))
    out = BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def photo_of(line: Line, piece: Piece | None = None, *, by: Person, about: str = "damage", **more) -> Photo:
    made = photos.redraw_photo(picture(colour=more.pop("colour", "red")))
    return add_photo(by=by, line=line, piece=piece, photo=made, sha256=photos.store(made), about=about, **more)
