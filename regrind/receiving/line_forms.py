"""What can be done to a line and its pieces at the counter: one small form each."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from regrind.record.dimension_words import name_tools
from regrind.record.models import Batch, Line, Piece
from regrind.shop.fields.whole_numbers import WholeText
from regrind.shop.models import Person

from . import actions
from .actions.counts import GONE, pieces_version
from .actions.tools import MOST_REGRINDS
from .line_action_form import LineActionForm
from .line_change_form import ChangeForm


class PiecesForm(LineActionForm):
    """Something done to some of the line's pieces."""

    pieces = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "A ticked piece is no longer on this line, or this action does not fit it."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["pieces"].error_messages["required"] = "Tick at least one piece."


class RecountForm(LineActionForm):
    title, verb = "Correct the count", "Save this count"
    about = (
        "More pieces: they get the next numbers. Fewer: the highest numbers that nothing has happened to are "
        "struck. A piece that was received and cannot be found is not struck: name it missing."
    )
    count = WholeText(label="Pieces there really are", least=0, most=actions.MOST_PIECES)
    reason = forms.CharField(max_length=200, label="Reason")
    version = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, pieces: Sequence[Piece], **kwargs: Any) -> None:
        super().__init__(*args, pieces=pieces, **kwargs)
        self.initial["version"] = pieces_version(pieces)
        self.initial["count"] = len([piece for piece in pieces if piece.status != "missing"])

    def act(self, by: Person) -> None:
        values = self.cleaned_data
        actions.recount(
            by=by, line=self.line, count=values["count"], reason=values["reason"], version=values["version"]
        )


class MissingForm(PiecesForm):
    title, verb = "Missing", "Name them missing"
    about = "They stay on every paper, with the reason, until they turn up."
    reason = forms.CharField(max_length=200, label="Reason")

    @staticmethod
    def fits(piece: Piece) -> bool:
        return piece.status not in GONE

    def act(self, by: Person) -> None:
        actions.name_missing(by=by, pieces=self.chosen(), reason=self.cleaned_data["reason"])


class FoundForm(PiecesForm):
    title, verb, about = "Found again", "Put them back", "Each returns to the state that it had before."

    @staticmethod
    def fits(piece: Piece) -> bool:
        return piece.status == "missing"

    def act(self, by: Person) -> None:
        actions.name_found(by=by, pieces=self.chosen())


class SplitForm(PiecesForm):
    title, verb = "Move to a new line", "Split these off"
    about = "They become a line of their own and keep their printed numbers."
    reason = forms.CharField(max_length=200, label="Why", required=False)

    def act(self, by: Person) -> None:
        actions.split_line(by=by, line=self.line, pieces=self.chosen(), reason=self.cleaned_data["reason"])


class LineChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # Django takes no argument at run time
    """A line by its number and its tools."""

    def label_from_instance(self, line: Line) -> str:
        return f"{line}: {name_tools(line, line.batch.customer.unit)}"


class MergeForm(LineActionForm):
    title, verb = "Merge", "Merge the lines"
    about = "All its pieces move to the other line and keep their printed numbers. This line stays, empty."
    into = LineChoice(
        Line.objects.none(),
        label="Into line",
        empty_label="choose a line",
        error_messages={"invalid_choice": "Choose another line of this batch."},
    )
    reason = forms.CharField(max_length=200, label="Why", required=False)

    def __init__(self, *args: Any, line: Line, **kwargs: Any) -> None:
        super().__init__(*args, line=line, **kwargs)
        field = self.fields["into"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = line.batch.lines.exclude(pk=line.pk).select_related("batch__customer", "family")

    def act(self, by: Person) -> None:
        actions.merge_lines(by=by, line=self.line, into=self.cleaned_data["into"], reason=self.cleaned_data["reason"])


class MoveForm(LineActionForm):
    title, verb = "Move to another box", "Move the line"
    about = (
        "It gets the next line number of that box, with all its pieces: print its tags again. Its old number still "
        "finds it."
    )
    batch = WholeText(label="Number of the other batch", least=1, most=9_999_999)
    reason = forms.CharField(max_length=200, label="Reason")

    def clean_batch(self) -> Batch:
        number = self.cleaned_data["batch"]
        batch = Batch.objects.select_related("customer").filter(number=number).first()
        if batch is None:
            raise forms.ValidationError(f"There is no batch {number}. Write the number of the box it belongs in.")
        return batch

    def act(self, by: Person) -> None:
        data = self.cleaned_data
        actions.move_line(by=by, line=self.line, into=data["batch"], reason=data["reason"])


class TagsForm(PiecesForm):
    title, verb = "Life tags", "Give life tags"
    about = "Six characters for each, to engrave on the shank: by its tag a tool is followed over many visits."
    customer_number = forms.CharField(label="Customer's number, if it is one piece", max_length=60, required=False)

    @staticmethod
    def fits(piece: Piece) -> bool:
        return piece.tool_id is None

    def act(self, by: Person) -> None:
        actions.give_tags(by=by, pieces=self.chosen(), customer_number=self.cleaned_data["customer_number"])


class MarksForm(PiecesForm):
    title, verb = "Marks on the shank", "Save marks"
    about = "Second regrind here, first elsewhere: 1 and 1 before this visit."
    here = WholeText(label="Regrinds here before", least=0, most=MOST_REGRINDS)
    elsewhere = WholeText(label="Regrinds elsewhere before", least=0, most=MOST_REGRINDS)

    def act(self, by: Person) -> None:
        actions.count_marks(
            by=by, pieces=self.chosen(), here=self.cleaned_data["here"], elsewhere=self.cleaned_data["elsewhere"]
        )


class SetAsideForm(LineActionForm):
    title, verb = "Set aside", "Set this line aside"
    about = "Logged by mistake: possible for ten minutes, while nothing has happened to its pieces."

    def act(self, by: Person) -> None:
        actions.set_aside(by=by, line=self.line)


FORMS: dict[str, type[LineActionForm]] = {
    "change": ChangeForm,
    "recount": RecountForm,
    "missing": MissingForm,
    "found": FoundForm,
    "tags": TagsForm,
    "marks": MarksForm,
    "split": SplitForm,
    "merge": MergeForm,
    "move": MoveForm,
    "set_aside": SetAsideForm,
}
ONE_PIECE = ("known", "complaint")  # pages of their own, about one piece


def make_form(
    action: str, line: Line, pieces: Sequence[Piece], data: QueryDict | None = None, ticked: Sequence[str] = ()
) -> LineActionForm:
    """The form of a deed, with the pieces it can be about; `ticked`: those chosen on the line's page."""
    form = FORMS[action]
    fitting = [piece for piece in pieces if form.fits(piece)]
    known = {str(piece.pk) for piece in fitting}
    if action == "change":  # its first values are the line's own
        return form(data, line=line, pieces=fitting)
    return form(data, line=line, pieces=fitting, initial={"pieces": [key for key in ticked if key in known]})
