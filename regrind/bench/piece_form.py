"""The base of every bench form about some of a line's pieces, with the revisions that the page saw."""
from collections.abc import Callable, Container, Iterable, Sequence
from datetime import timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.record.models import Line, Piece
from regrind.shop.forms import LengthText, ShopForm
from regrind.shop.once import carry_out

from .rows import conflict_with, newest_of_any

MOST_NAMED = 5


def write_seen(pieces: Iterable[Piece], revisions: dict[int, int]) -> str:
    """What a page saw, for its hidden field: of each piece its revision and how many steps it had taken, `12:1:4`."""
    return " ".join(f"{piece.pk}:{revisions.get(piece.pk, 0)}:{piece.steps_taken}" for piece in pieces)


def read_seen(text: str) -> dict[int, int]:
    """Piece id -> revision; what is no such entry is left out."""
    return {pk: numbers[0] for pk, numbers in entries_of(text)}


def read_steps(text: str) -> dict[int, int]:
    """Piece id -> the steps that it had taken when the page was opened."""
    return {pk: numbers[1] for pk, numbers in entries_of(text) if len(numbers) == 2}


def entries_of(text: str) -> list[tuple[int, list[int]]]:
    """(piece id, its one or two numbers) of each entry; what is no entry is left out."""
    entries = (item.split(":") for item in text.split())
    return [(int(pk), [int(number) for number in numbers]) for pk, *numbers in entries
            if 1 <= len(numbers) <= 2 and all(x.isascii() and x.isdigit() and len(x) < 18 for x in (pk, *numbers))]


def moved_since(pieces: Iterable[Piece], seen: str) -> list[Piece]:
    """The pieces that took a step after the page was opened, even where they are back in the same place."""
    steps = read_steps(seen)
    return [piece for piece in pieces if steps.get(piece.pk, piece.steps_taken) != piece.steps_taken]


def say_moved(pieces: Sequence[Piece], again: Container[int] = ()) -> str:
    """Where pieces are that were moved while a page was open; again: the ids of those that are back where they were."""
    told = [f"{piece.short} is {piece.get_whereabouts_display()}{' again' if piece.pk in again else ''}"
            for piece in pieces]
    more = f" and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return f"While this page was open someone moved them on: {', '.join(told[:MOST_NAMED])}{more}."


class PiecesForm(ShopForm):
    """Ticks for the pieces that are meant, all of them at first. `ticked`: keys to tick instead."""

    pieces = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)
    seen = forms.CharField(required=False, max_length=20_000, widget=forms.HiddenInput)

    def __init__(self, *args, line: Line, pieces: Sequence[Piece], seen: dict[int, int],
                 ticked: Sequence[str] = (), **kwargs):
        super().__init__(*args, **kwargs)
        self.line, self.by_id = line, {str(piece.pk): piece for piece in pieces}
        boxes = self.fields["pieces"]
        assert isinstance(boxes, forms.MultipleChoiceField)
        boxes.error_messages |= {"required": "Tick the pieces that are meant.",
                                 "invalid_choice": "A piece here has gone on meanwhile."}
        boxes.choices = [(key, piece.short) for key, piece in self.by_id.items()]
        boxes.initial = [key for key in ticked if key in self.by_id] or list(self.by_id)
        self.fields["seen"].initial = write_seen(pieces, seen)
        self.each_length(lambda _, field: self._read_in(field))

    def _read_in(self, field: LengthText) -> None:
        field.unit = self.line.batch.customer.unit
        field.widget.attrs["data-unit"] = field.unit

    def clean_done_at(self):
        """A late entry lies between the box's arrival and now."""
        when, since = self.cleaned_data["done_at"], self.line.batch.received_at
        if when and when < since - timedelta(minutes=1):
            came = date_format(timezone.localtime(since), "j M Y H:i")
            raise ValidationError(f"That is before the box came: from {came} until now.")
        return when

    def chosen(self) -> list[Piece]:
        return [self.by_id[key] for key in self.cleaned_data["pieces"]]

    def revisions(self) -> dict[int, int]:
        """What the page saw: piece id -> revision."""
        return read_seen(self.cleaned_data.get("seen", ""))

    def _sent(self) -> set[str]:
        return set(self.data.getlist("pieces")) if hasattr(self.data, "getlist") else set()

    def strangers(self) -> list[int]:
        """The ids of ticked pieces that the page no longer offers."""
        return [int(key) for key in self._sent() - set(self.by_id)
                if key.isascii() and key.isdigit() and len(key) < 18]

    def returned(self) -> list[int]:
        """The ids of ticked pieces that went on and are back: the page is not of them as they are now."""
        ticked = [piece for key, piece in self.by_id.items() if key in self._sent()]
        return [piece.pk for piece in moved_since(ticked, self.data.get("seen", ""))]

    def gone_on(self) -> str:
        """What became of ticked pieces that were moved while the page was open, in words; '' where none was."""
        back = self.returned()
        ids = [*self.strangers(), *back]
        if not ids:
            return ""
        moved = list(self.line.batch.pieces.filter(pk__in=ids, line=self.line).order_by("born_line", "number"))
        return say_moved(moved, back) if moved else ""


def settle(request: HttpRequest, form: PiecesForm, act: Callable[[], str],
           show: Callable[[str], HttpResponse]) -> HttpResponse:
    """Answer a posted form: once where it is sound, the conflict page where pieces went on, else what is wrong.

    A form sent twice finds its pieces moved on by the first: the once-only key then leads to where that one led.
    """
    said = form.gone_on()
    if said:
        def clash() -> str:
            raise conflict_with(said, newest_of_any([*form.strangers(), *form.returned()]))
        return carry_out(request, clash, form=form)
    if form.is_valid():
        return carry_out(request, act, refused=show, form=form)
    return show("")
