"""Photos of a piece or a line. The only writers of these rows; removing one is undoing its event."""

from collections.abc import Mapping
from typing import Any, cast

from regrind.record.models import Line, Piece
from regrind.shop.events import Refusal, event
from regrind.shop.files.photos import Photograph
from regrind.shop.models import Person

from ..models import Inspection, Photo, Plan
from ..readings import each_mark
from ..revisions import canonical, newest

COPIED = ("line", "piece", "about", "inspection", "plan", "mark", "caption", "measured", "sha256", "width", "height")
MOST = 24  # photos of one line: a report that nobody can carry helps nobody


def add_photo(
    *,
    by: Person,
    line: Line,
    piece: Piece | None,
    photo: Photograph,
    sha256: str,
    about: str,
    mark: int | None = None,
    caption: str = "",
) -> Photo:
    """Store a photo whose file is on the disk already. Refusal where the line has many, or has no such damage mark.

    about: one of Photo's choices. mark: with about "damage", which mark of the piece's newest inspection, from 1.
    """
    if mark is not None and about != "damage":
        raise Refusal("A mark is of the damage: choose that, or leave the mark empty.")
    inspection = newest(Inspection, [piece]).get(piece.pk) if piece else None
    plan = newest(Plan, [piece]).get(piece.pk) if piece else None
    if mark is not None and mark > (recorded := count_marks(inspection)):
        raise Refusal(f"Mark {mark} is not on record: the inspection has {recorded or 'none'}.")
    with event(by, "photo", why=caption) as adding:
        Line.objects.select_for_update().get(pk=line.pk)
        if Photo.objects.filter(line=line).count() >= MOST:
            raise Refusal(f"This line has {MOST} photos: remove one first.")
        stored: Photo = Photo.objects.create(
            event=adding,
            line=line,
            piece=piece,
            about=about,
            inspection=inspection,
            plan=plan,
            mark=mark,
            caption=caption,
            sha256=sha256,
            width=photo.width,
            height=photo.height,
        )
        return stored


def count_marks(inspection: Inspection | None) -> int:
    """How many damage marks an inspection lists, itself or the one it follows."""
    row = cast(Inspection, inspection.copied_from or inspection) if inspection else None
    return sum(1 for _ in each_mark(row)) if row else 0


def add_measured(*, by: Person, photo: Photo, quantity: str, measured: Mapping[str, Any], words: str) -> Photo:
    """Store what was measured on a photo: a row of its own, of the same file, with the taps.

    quantity: depth or wear_land; measured: what `Photo.measured` holds; words: the result, for its caption.
    Refusal where the photo was removed meanwhile, or the line has many.
    """
    with event(by, "photo", why=words) as adding:
        Line.objects.select_for_update().get(pk=photo.line_id)
        if not Photo.objects.filter(pk=photo.pk).exists():
            raise Refusal("This photo was removed.")
        if Photo.objects.filter(line=photo.line_id).count() >= MOST:
            raise Refusal(f"This line has {MOST} photos: remove one first.")
        known = {name: getattr(photo, name) for name in COPIED}
        known |= {"about": "damage", "caption": words, "measured": canonical({"quantity": quantity, **measured})}
        stored: Photo = Photo.objects.create(event=adding, **known)
        return stored


def add_again(*, by: Person, photo: Photo) -> Photo:
    """Add a photo again that was removed: a row of its own, of the same file. Refusal where it was not removed."""
    if Photo.objects.filter(pk=photo.pk).exists():
        raise Refusal("This photo was not removed.")
    with event(by, "photo", why=photo.caption) as adding:
        again: Photo = Photo.objects.create(event=adding, **{name: getattr(photo, name) for name in COPIED})
        return again
