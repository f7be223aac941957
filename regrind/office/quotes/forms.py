"""The forms of quotes: making one in the office, and the customer's answer."""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from django import forms

from regrind.bench.models import Photo
from regrind.shop.fields.forms import ShopForm

from .content import DraftQuote
from .making import MOST_DAYS, MOST_PHOTOS, USUAL_DAYS
from .states import ItemState, PieceState, QuoteState

NOT_GROUND = [("returned_unground", "Return unground"), ("scrap", "Scrap")]
FOR_ALL = [
    ("", "As I choose below, for each"),
    ("proposed", "Do what you propose"),
    *((way, f"{words}, all of them") for way, words in NOT_GROUND),
]


class QuoteForm(ShopForm):
    """A new quote: how long it is valid, a note on it, and which photos the customer sees."""

    photos = forms.MultipleChoiceField(
        label="Photos that the customer sees",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "One of these photos was removed meanwhile. Tick them again."},
    )

    days = forms.IntegerField(
        label="Valid for (days)",
        min_value=1,
        max_value=MOST_DAYS,
        initial=USUAL_DAYS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    note = forms.CharField(label="Note to the customer", max_length=500, required=False)

    def __init__(self, *args: Any, draft: DraftQuote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        photos = self.fields["photos"]
        assert isinstance(photos, forms.MultipleChoiceField)
        photos.choices = [(str(photo.pk), f"{photo.subject}, {photo.description}") for photo in draft.photos]
        photos.initial = [str(photo.pk) for item in draft.items for photo in item.photos[:MOST_PHOTOS]]
        self.listed = draft.photos
        self.fields["days"].error_messages |= dict.fromkeys(
            ("invalid", "min_value", "max_value"), f"Write a whole number of days from 1 to {MOST_DAYS}."
        )

    def boxes(self) -> list[tuple[Photo, forms.boundfield.BoundWidget]]:
        """Each photo with its box."""
        return list(zip(self.listed, self["photos"], strict=True))


class ItemFields(NamedTuple):
    """An item of the quote with its field, and a field for each tool where it has several."""

    state: ItemState
    bound: forms.BoundField
    each: list[tuple[PieceState, forms.BoundField]]


class DecisionForm(ShopForm):
    """The customer's answer: for all tools, for an item, or for a single tool; the narrowest counts."""

    every = forms.ChoiceField(label="For all tools", choices=FOR_ALL, widget=forms.RadioSelect, required=False)
    who = forms.CharField(
        label="Your name",
        max_length=120,
        error_messages={"required": "Your name is required: the shop writes down who decided."},
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    sure = forms.BooleanField(required=False, widget=forms.HiddenInput)  # the summary was read, and sent
    scrap_sure = forms.BooleanField(required=False)
    note = forms.CharField(
        label="A note to the shop", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, state: QuoteState, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.state = state
        for item in self._open_items():
            choices = ways_of(item)
            self.fields[f"item_{item.item.pk}"] = _choice("Your answer", choices)
            if len(item.open_pieces) > 1:
                for piece in item.open_pieces:
                    as_above = [("", "As above"), *choices]
                    self.fields[f"piece_{piece.row.pk}"] = _choice(piece.row.piece.short, as_above)

    def _open_items(self) -> list[ItemState]:
        return [item for item in self.state.items if item.open_pieces]

    def items(self) -> Iterator[ItemFields]:
        """What is still open, with the fields to answer it."""
        for item in self._open_items():
            each = [piece for piece in item.open_pieces if f"piece_{piece.row.pk}" in self.fields]
            fields = [(piece, self[f"piece_{piece.row.pk}"]) for piece in each]
            yield ItemFields(item, self[f"item_{item.item.pk}"], fields)

    def decisions(self) -> dict[int, str]:
        """The way chosen for each piece of the quote, by the key of its row; undecided ones are left out."""
        ways = {piece.row.pk: self._way(item, piece) for item in self._open_items() for piece in item.open_pieces}
        return {pk: way for pk, way in ways.items() if way}

    def is_sure(self) -> bool:
        """Whether the summary of a valid answer was sent, with its tick where something goes to scrap."""
        data = self.cleaned_data
        return data["sure"] and (data["scrap_sure"] or not self.scraps())

    def scraps(self) -> bool:
        return "scrap" in self.decisions().values()

    def typed(self) -> list[tuple[str, str]]:
        """What was chosen and typed, to be sent again with the summary."""
        names = [name for name in self.fields if name not in ("sure", "scrap_sure")]
        return [(name, self.data[name]) for name in names if self.data.get(name)]

    def _way(self, item: ItemState, piece: PieceState) -> str:
        data = self.cleaned_data
        narrow = data.get(f"piece_{piece.row.pk}") or data.get(f"item_{item.item.pk}") or ""
        every = data.get("every", "")
        return narrow or (str(item.item.shown["proposed"]) if every == "proposed" else every)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and not self.decisions():
            self.add_error(None, "Nothing is chosen yet. Choose an answer for at least one tool.")
        return data


def _choice(label: str, choices: Sequence[tuple[str, str]]) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices, widget=forms.RadioSelect, required=False)


def ways_of(item: ItemState) -> list[tuple[str, str]]:
    """Each way to answer for an item, with short words."""
    options = item.item.shown["options"]
    return [*((option["way"], f"Grind {option['words']}") for option in options), *NOT_GROUND]
