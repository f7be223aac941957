"""Photos kept with a piece or a line, taken off and put back. The only writers of these rows."""
from typing import cast

from django.db import IntegrityError, transaction
from django.utils import timezone

from regrind.record.models import Line, Piece
from regrind.record.moves import UNDO_FOR
from regrind.shop.acting import Conflict, Refusal, acting
from regrind.shop.models import Person
from regrind.shop.photos import Photograph

from ..models import Inspection, Photo, PhotoPutBack, PhotoRemoval, Plan
from ..readings import each_mark
from ..rows import newest
from .shown import shown

MOST = 24       # photos of one line: a report that nobody can carry helps nobody


def add_photo(*, by: Person, line: Line, piece: Piece | None, photo: Photograph, sha256: str, about: str,
              mark: int | None = None, words: str = "") -> Photo:
    """Keep a photo whose file is on the disk already. Refusal where the line has many, or has no such damage mark.

    about: one of Photo's choices. mark: with about "damage", which mark of the piece's newest inspection, from 1.
    """
    if mark is not None and about != "damage":
        raise Refusal("A mark is of the damage: choose that, or leave the mark empty.")
    seen = newest(Inspection, [piece]).get(piece.pk) if piece else None
    plan = newest(Plan, [piece]).get(piece.pk) if piece else None
    if mark is not None and mark > (there := marks_of(seen)):
        raise Refusal(f"Mark {mark} is not on record: the inspection has {there or 'none'}.")
    with acting(by, words):
        Line.objects.select_for_update().get(pk=line.pk)
        if shown().filter(line=line).count() >= MOST:
            raise Refusal(f"This line has {MOST} photos: take one off first.")
        return Photo.objects.create(line=line, piece=piece, about=about, inspection=seen, plan=plan, mark=mark,
                                    words=words, sha256=sha256, width=photo.width, height=photo.height, by=by)


def marks_of(seen: Inspection | None) -> int:
    """How many damage marks an inspection lists, itself or the one it follows."""
    row = cast(Inspection, seen.like or seen) if seen else None
    return sum(1 for _ in each_mark(row)) if row else 0


def remove_photo(*, by: Person, photo: Photo) -> PhotoRemoval:
    """Take a photo off. Conflict where somebody did so already."""
    removals = PhotoRemoval.objects.filter(photo=photo)
    if removals.filter(put_back=None).exists():
        raise Conflict("This photo was taken off already.")
    with acting(by, "photo taken off"):
        try:
            with transaction.atomic():
                return PhotoRemoval.objects.create(photo=photo, number=removals.count() + 1, by=by)
        except IntegrityError as clash:
            raise Conflict("This photo was taken off meanwhile.") from clash


def put_back(*, by: Person, photo: Photo) -> PhotoPutBack:
    """Put a photo back that was taken off within ten minutes. Refusal where it was not, or longer ago."""
    removal = PhotoRemoval.objects.filter(photo=photo, put_back=None).first()
    if removal is None:
        raise Refusal("This photo was not taken off, or was put back already.")
    if timezone.now() - removal.at > UNDO_FOR:
        raise Refusal("This photo was taken off more than ten minutes ago: add it again.")
    with acting(by, "photo put back"):
        return PhotoPutBack.objects.create(removal=removal, by=by)
