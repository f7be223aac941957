"""What can be done to a line and its pieces at the counter: one small form each."""
from collections.abc import Callable, Sequence
from typing import Any

from django import forms

from regrind.record.models import Line, Piece, Tool
from regrind.record.tags import read_tag
from regrind.shop.forms import LengthText, ShopForm
from regrind.shop.models import Person

from . import actions
from .forms import as_text, set_unit


class PiecesForm(ShopForm):
    """A form about some of the line's pieces."""

    pieces = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple, error_messages={
        "required": "Tick the pieces that are meant.", "invalid_choice": "A piece here is no longer of this line."})

    def __init__(self, *args, line: Line, pieces: Sequence[Piece], **kwargs):
        super().__init__(*args, **kwargs)
        self.line, self.by_id = line, {str(piece.pk): piece for piece in pieces}
        if "pieces" in self.fields:
            boxes = self.fields["pieces"]
            assert isinstance(boxes, forms.MultipleChoiceField)
            boxes.choices = [(key, piece.short) for key, piece in self.by_id.items()]
        set_unit(self, line.batch.customer.unit)

    def chosen(self) -> list[Piece]:
        return [self.by_id[key] for key in self.cleaned_data["pieces"]]


class OnePieceForm(PiecesForm):
    pieces = None       # type: ignore[assignment]
    piece = forms.ChoiceField(error_messages={"invalid_choice": "Choose a piece of this line."})

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        field = self.fields["piece"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(key, piece.short) for key, piece in self.by_id.items()]

    def one(self) -> Piece:
        return self.by_id[self.cleaned_data["piece"]]


class ChangeForm(PiecesForm):
    title, verb = "What this line says", "Keep these changes"
    pieces = None       # type: ignore[assignment]
    customer_tool_number = forms.CharField(label="Their tool number", max_length=60, required=False)
    smallest = LengthText(label="Smallest diameter, this line", most_nm=500_000_000, required=False)
    shortest = LengthText(label="Shortest usable length, this line", most_nm=500_000_000, required=False)
    tolerance = LengthText(label="Tolerance on the diameter, ±", most_nm=1_000_000)
    check_every = forms.IntegerField(label="Check the diameter of every nth", min_value=1, max_value=500)
    matched = forms.BooleanField(label="Keep matched", required=False)
    match_tolerance = LengthText(label="Matched within", most_nm=5_000_000, required=False)
    note = forms.CharField(max_length=2000, required=False)

    def __init__(self, *args, line: Line, **kwargs):
        unit = line.batch.customer.unit
        lengths = {name: as_text(getattr(line, f"{name}_nm"), unit) for name in
                   ("smallest", "shortest", "tolerance", "match_tolerance")}
        plain = {name: getattr(line, name) for name in ("customer_tool_number", "check_every", "matched", "note")}
        super().__init__(*args, line=line, initial=lengths | plain, **kwargs)

    def act(self, by: Person) -> None:
        data = self.cleaned_data
        lengths = {f"{name}_nm": data[name].nm if data[name] else None
                   for name in ("smallest", "shortest", "tolerance", "match_tolerance")}
        actions.change_line(by=by, line=self.line, **lengths, customer_tool_number=data["customer_tool_number"],
                            check_every=data["check_every"], matched=data["matched"], note=data["note"])


class RecountForm(PiecesForm):
    title, verb = "Recount", "Keep the count"
    pieces = None       # type: ignore[assignment]
    count = forms.IntegerField(label="Pieces there really are", min_value=0, max_value=actions.MOST_PIECES,
                               widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    reason = forms.CharField(max_length=200, label="How that came")

    def act(self, by: Person) -> None:
        actions.recount(by=by, line=self.line, count=self.cleaned_data["count"], reason=self.cleaned_data["reason"])


class MissingForm(PiecesForm):
    title, verb = "Missing", "Name them missing"
    reason = forms.CharField(max_length=200, label="Why")

    def act(self, by: Person) -> None:
        actions.name_missing(by=by, pieces=self.chosen(), reason=self.cleaned_data["reason"])


class FoundForm(PiecesForm):
    title, verb = "Found again", "Put them back"

    def act(self, by: Person) -> None:
        actions.name_found(by=by, pieces=self.chosen())


class SplitForm(PiecesForm):
    title, verb = "Split the line", "Split these off"
    reason = forms.CharField(max_length=200, label="Why", required=False)

    def act(self, by: Person) -> None:
        actions.split_line(by=by, line=self.line, pieces=self.chosen(), reason=self.cleaned_data["reason"])


class MergeForm(PiecesForm):
    title, verb = "Merge into another line", "Merge"
    pieces = None       # type: ignore[assignment]
    into = forms.ModelChoiceField(Line.objects.none(), label="Into line")

    def __init__(self, *args, line: Line, **kwargs):
        super().__init__(*args, line=line, **kwargs)
        field = self.fields["into"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = line.batch.lines.exclude(pk=line.pk).select_related("batch")

    def act(self, by: Person) -> None:
        actions.merge_lines(by=by, line=self.line, into=self.cleaned_data["into"])


class MarksForm(PiecesForm):
    title, verb = "Marks on the shank", "Keep the marks"
    here = forms.IntegerField(label="Regrinds here before", min_value=0, max_value=50)
    elsewhere = forms.IntegerField(label="Regrinds elsewhere before", min_value=0, max_value=50)

    def act(self, by: Person) -> None:
        actions.count_marks(by=by, pieces=self.chosen(), here=self.cleaned_data["here"],
                            elsewhere=self.cleaned_data["elsewhere"])


class FollowForm(OnePieceForm):
    title, verb = "Follow a tool", "Follow it"
    tag = forms.CharField(label="Its life tag, if it has one", max_length=12, required=False)
    known = forms.ModelChoiceField(Tool.objects.none(), label="Or one that was here before", required=False,
                                   empty_label="none of these: a new tag")
    customer_number = forms.CharField(label="Their number for it", max_length=60, required=False)

    def __init__(self, *args, line: Line, **kwargs):
        super().__init__(*args, line=line, **kwargs)
        field = self.fields["known"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = Tool.objects.filter(pk__in=[tool.pk for tool in actions.fitting_tools(line)])

    def clean(self):
        data = super().clean() or {}
        text, number = data.get("tag", ""), data.get("customer_number", "")
        customer = self.line.batch.customer
        if text:
            tag = read_tag(text)
            data["known"] = Tool.objects.filter(tag=tag, customer=customer).first() if tag else None
            if data["known"] is None:
                self.add_error("tag", "No tool of this customer has that tag: six signs, none of B I O Q S V Z.")
        elif number and not data.get("known"):
            data["known"] = Tool.objects.filter(customer=customer, customer_number__iexact=number).first()
        return data

    def act(self, by: Person) -> None:
        actions.follow(by=by, piece=self.one(), tool=self.cleaned_data["known"],
                       customer_number=self.cleaned_data["customer_number"])


class ComplaintForm(OnePieceForm):
    title, verb = "Complaint", "Link it, no charge"
    of = forms.CharField(label="Piece of the earlier visit", max_length=24, help_text="its number, 391-2-4")
    reason = forms.CharField(max_length=300, label="What is wrong")

    def clean_of(self) -> Piece:
        parts = self.cleaned_data["of"].split("-")
        found = None
        if len(parts) == 3 and all(p.isascii() and p.isdigit() and len(p) < 8 for p in parts):
            batch, line, number = (int(p) for p in parts)
            found = Piece.objects.filter(batch__number=batch, born_line=line, number=number).select_related(
                "batch").first()
        if found is None or found.batch.customer_id != self.line.batch.customer_id:
            raise forms.ValidationError("This customer had no piece of that number here. It is written 391-2-4.")
        return found

    def act(self, by: Person) -> None:
        actions.complain(by=by, piece=self.one(), of=self.cleaned_data["of"], reason=self.cleaned_data["reason"])


FORMS: dict[str, tuple[type[PiecesForm], Callable[[Piece], bool]]] = {
    "change": (ChangeForm, lambda piece: True),
    "recount": (RecountForm, lambda piece: True),
    "missing": (MissingForm, lambda piece: piece.whereabouts not in ("left", "recycled", "missing")),
    "found": (FoundForm, lambda piece: piece.whereabouts == "missing"),
    "follow": (FollowForm, lambda piece: piece.tool_id is None),
    "marks": (MarksForm, lambda piece: True),
    "complaint": (ComplaintForm, lambda piece: piece.complaint_of_id is None),
    "split": (SplitForm, lambda piece: True),
    "merge": (MergeForm, lambda piece: True),
}


def all_forms(line: Line, pieces: Sequence[Piece], posted: str = "", data: Any = None) -> dict[str, PiecesForm]:
    """Every form of the line's page, by name; the posted one bound, those that fit no piece left out."""
    made = {}
    for what, (form, fits) in FORMS.items():
        fitting = [piece for piece in pieces if fits(piece)]
        if fitting or what == "change" or what == posted:
            made[what] = form(data if what == posted else None, line=line, pieces=fitting, prefix=what)
    return made
