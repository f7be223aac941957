"""What the bench hand decides on the plan page."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from regrind.record.kinds import name_part
from regrind.record.models import Line, Piece
from regrind.shop.fields.dates import DoneAt
from regrind.shop.fields.forms import LengthText
from regrind.shop.files.photos import Photograph
from regrind.shop.owner.settings import shop_settings

from ..photographs.forms import read_photo
from ..piece_form import PiecesForm, parse_entries

BACK = ("returned_unground", "scrap")  # not ground: what its result is
DO = [
    ("keep", "keep an option"),
    ("ask", "ask the customer"),
    ("returned_unground", "return unground"),
    ("scrap", "back as scrap"),
    ("size", "one size"),
    ("plain", "grind"),
]


class Sizes(forms.MultipleChoiceField):
    """Sizes in nm; whether each is among those worked out, the action sees."""

    def valid_value(self, value: str) -> bool:
        return value.isascii() and value.isdigit() and len(value) < 12


def list_reasons() -> list[str]:
    """The reasons that the shop offers to be tapped, as its settings list them."""
    return [words for line in shop_settings().reasons.splitlines() if (words := line.strip()[:120])]


class DecideForm(PiecesForm):
    """marks: of the figures that are shown with each piece, by its id: `seen` has them beside its plan's revision."""

    do = forms.ChoiceField(choices=DO, widget=forms.HiddenInput)
    group = forms.CharField(required=False, max_length=18, widget=forms.HiddenInput)
    option = forms.IntegerField(min_value=0, max_value=400, required=False)
    sizes = Sizes(
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "That size is not among those worked out."},
    )
    usual_reason = forms.ChoiceField(label="Reason", required=False, widget=forms.RadioSelect)
    reason = forms.CharField(label="In your own words: why, or what to ask", max_length=300, required=False)
    why = forms.CharField(label="Why it is ground all the same", max_length=300, required=False)
    photo = forms.FileField(
        label="Photo",
        required=False,
        max_length=None,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    grinds = forms.MultipleChoiceField(label="What is ground", required=False, widget=forms.CheckboxSelectMultiple)
    diameter = LengthText(label="Diameter to grind to", least_nm=100_000, most_nm=500_000_000, required=False)
    cut_back = LengthText(label="Off the end", most_nm=50_000_000, required=False)
    done_at = DoneAt()

    def __init__(
        self,
        *args: Any,
        line: Line,
        pieces: Sequence[Piece],
        expected: dict[int, int] | None = None,
        marks: Mapping[int, int] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, line=line, pieces=pieces, expected=expected or {}, **kwargs)
        self.fields["pieces"].required = False  # a size is taken for all of them
        self._choose("usual_reason", [(words, words) for words in list_reasons()])
        self._choose("grinds", [(name, name_part(name)) for name in line.family.kind_data.grinds])
        grinds = line.family.kind_data.grinds
        self.fields["grinds"].initial = list(grinds) if len(grinds) == 1 else []
        self.fields["seen"].initial = " ".join(
            f"{pk}:{(expected or {}).get(pk, 0)}:{mark}" for pk, mark in (marks or {}).items()
        )

    def clean_photo(self) -> Photograph | None:
        file = self.cleaned_data["photo"]
        return read_photo(file) if file else None

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        do = data.get("do")
        data["own_words"] = data.get("reason", "")
        if do in ("keep", "plain"):
            data["reason"] = data.get("why") or data["own_words"]
        if do in (*BACK, "ask"):
            data["reason"] = ": ".join(filter(None, (data.get("usual_reason"), data.get("reason"))))[:300]
        if do in ("keep", "ask", *BACK, "plain") and not data.get("pieces") and "pieces" not in self.errors:
            self.add_error("pieces", "Tick the pieces that are meant.")
        if do == "keep" and data.get("option") is None and "option" not in self.errors:
            self.add_error("option", "Choose one of the options.")
        if do == "size" and not 1 <= len(data.get("sizes") or []) <= 2 and "sizes" not in self.errors:
            self.add_error("sizes", "Take one size, or two.")
        if do in (*BACK, "ask"):
            self._needs(data, "reason", "Say why, or tap a reason: the customer reads it.")
        if do == "plain" or (do == "ask" and "grinds" in self.errors):
            self._plain_fits(data)
        return data

    def _needs(self, data: dict[str, Any], name: str, words: str) -> None:
        if not data.get(name) and name not in self.errors:
            self.add_error(name, words)

    def _plain_fits(self, data: dict[str, Any]) -> None:
        kind = self.line.family.kind_data
        if not data.get("grinds") and "grinds" not in self.errors:
            self.add_error("grinds", f"Choose what is ground: {', '.join(kind.grinds)}.")
        elif "grinds" in self.errors and kind.no_sides:
            self.add_error("grinds", f"The sides are left alone: {kind.no_sides}.")

    def shown(self) -> dict[int, int]:
        """The mark of the figures that the page showed, by piece id: the action holds them against its own."""
        entries = parse_entries(self.cleaned_data.get("seen", ""))
        return {pk: numbers[1] for pk, numbers in entries if len(numbers) == 2}

    def moved(self) -> list[Piece]:
        """None: a piece that is back has another mark, if its figures are others."""
        return []
