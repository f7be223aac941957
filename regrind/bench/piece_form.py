"""The base of every bench form about some of a line's pieces, with the revisions that the page saw."""

from collections.abc import Callable, Container, Iterable, Sequence
from datetime import datetime, timedelta
from operator import attrgetter
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.record.models import Line, Piece
from regrind.shop.fields.forms import LengthText, ShopForm
from regrind.shop.fields.whole_numbers import read_whole

from .revisions import conflict_with, newest_of_any

MOST_NAMED = 5


def write_page_state(pieces: Iterable[Piece], revisions: dict[int, int]) -> str:
    """What a page saw, for its hidden field: of each piece its revision and how many steps it had taken, `12:1:4`."""
    return " ".join(f"{piece.pk}:{revisions.get(piece.pk, 0)}:{piece.steps_taken}" for piece in pieces)


def read_revisions(text: str) -> dict[int, int]:
    """Piece id -> revision; what is no such entry is left out."""
    return {pk: numbers[0] for pk, numbers in parse_entries(text)}


def read_steps(text: str) -> dict[int, int]:
    """Piece id -> the steps that it had taken when the page was opened."""
    return {pk: numbers[1] for pk, numbers in parse_entries(text) if len(numbers) == 2}


def parse_entries(text: str) -> list[tuple[int, list[int]]]:
    """(piece id, its one or two numbers) of each entry; what is no entry is left out."""
    entries = ([read_whole(part) for part in item.split(":")] for item in text.split())
    return [
        (pk, [number for number in numbers if number is not None])
        for pk, *numbers in entries
        if pk is not None and 1 <= len(numbers) <= 2 and None not in numbers
    ]


def moved_since(pieces: Iterable[Piece], page_state: str) -> list[Piece]:
    """The pieces that took a step after the page was opened, even where they are back in the same place."""
    steps = read_steps(page_state)
    return [piece for piece in pieces if steps.get(piece.pk, piece.steps_taken) != piece.steps_taken]


def say_moved(
    pieces: Sequence[Piece], again: Container[int] = (), name: Callable[[Piece], str] = attrgetter("short")
) -> str:
    """Where pieces are that were moved while a page was open; again: the ids of those that are back where they were."""
    places = [
        f"{name(piece)} is {piece.get_status_display()}{' again' if piece.pk in again else ''}" for piece in pieces
    ]
    more = f" and {len(places) - MOST_NAMED} more" if len(places) > MOST_NAMED else ""
    return f"While this page was open someone moved them on: {', '.join(places[:MOST_NAMED])}{more}."


class TickedPieces(ShopForm):
    """Ticks for the pieces that are meant, all of them at first, and how they stood when the page was opened."""

    pieces = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)
    seen = forms.CharField(required=False, max_length=20_000, widget=forms.HiddenInput)
    by_id: dict[str, Piece]

    def offer(self, pieces: Iterable[Piece], revisions: dict[int, int], ticked: Sequence[str] = ()) -> None:
        """The pieces of the page, with the revision it shows of each. ticked: keys to tick instead of all."""
        self.by_id = {str(piece.pk): piece for piece in pieces}
        boxes = self.fields["pieces"]
        assert isinstance(boxes, forms.MultipleChoiceField)
        boxes.error_messages |= {
            "required": "Tick the pieces that are meant.",
            "invalid_choice": "A piece here has gone on meanwhile.",
        }
        boxes.choices = [(key, self.name(piece)) for key, piece in self.by_id.items()]
        boxes.initial = [key for key in ticked if key in self.by_id] or list(self.by_id)
        self.fields["seen"].initial = write_page_state(self.by_id.values(), revisions)

    def name(self, piece: Piece) -> str:
        return piece.short

    def chosen(self) -> list[Piece]:
        return [self.by_id[key] for key in self.cleaned_data["pieces"]]

    def revisions(self) -> dict[int, int]:
        """What the page saw: piece id -> revision."""
        return read_revisions(self.cleaned_data.get("seen", ""))

    def of_page(self) -> QuerySet[Piece]:
        """The pieces that this page can have shown."""
        return Piece.objects.select_related("batch")

    def _sent(self) -> list[str]:
        return self.data.getlist("pieces") if hasattr(self.data, "getlist") else []

    def ticked(self) -> list[Piece]:
        """The pieces of the page that were ticked, whether or not the form is sound."""
        return [self.by_id[key] for key in self._sent() if key in self.by_id]

    def moved(self) -> list[Piece]:
        """Those of them that took a step since the page was opened, and are here again."""
        return moved_since(self.ticked(), self.data.get("seen", ""))

    def check_stale(self) -> None:
        """Raise Conflict where ticked pieces went on since, even where they are back: it says where they are."""
        back = [piece.pk for piece in self.moved()]
        gone = [pk for key in self._sent() if key not in self.by_id and (pk := read_whole(key)) is not None]
        if not (gone or back):
            return
        moved = list(self.of_page().filter(pk__in=[*gone, *back]).order_by("batch", "original_line", "number"))
        if moved:
            raise conflict_with(say_moved(moved, back, self.name), newest_of_any([piece.pk for piece in moved]))


class PiecesForm(TickedPieces):
    """Ticks for pieces of one line; lengths are read in the customer's unit. `ticked`: keys to tick instead of all."""

    def __init__(
        self,
        *args: Any,
        line: Line,
        pieces: Sequence[Piece],
        expected: dict[int, int],
        ticked: Sequence[str] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.line = line
        self.offer(pieces, expected, ticked)
        self.each_length(lambda _, field: self._read_in(field))

    def _read_in(self, field: LengthText) -> None:
        field.unit = self.line.batch.customer.unit
        field.widget.attrs["data-unit"] = field.unit

    def clean_done_at(self) -> datetime | None:
        """A late entry lies between the box's arrival and now."""
        return check_done_at(self.cleaned_data["done_at"], self.line.batch.received_at, "the box")

    def of_page(self) -> QuerySet[Piece]:
        return self.line.batch.pieces.filter(line=self.line)


def check_done_at(when: datetime | None, since: datetime, box: str) -> datetime | None:
    """A late entry lies between `since`, when the box came, and now; ValidationError where not."""
    if when and when < since - timedelta(minutes=1):
        came = date_format(timezone.localtime(since), "j M Y H:i")
        raise ValidationError(f"That is before {box} came: from {came} until now.")
    return when
