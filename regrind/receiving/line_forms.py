"""What can be done to a line and its pieces at the counter: one small form each."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from regrind.record.dimension_words import name_tools
from regrind.record.models import Batch, Line, Piece
from regrind.shop.fields import unit_choices
from regrind.shop.fields.forms import LengthText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText
from regrind.shop.models import Person
from regrind.shop.posts.stale import VersionedForm

from . import actions
from .actions.counts import GONE, pieces_version
from .actions.tools import MOST_REGRINDS
from .fields import exact_text

WIDE = ("reason", "into", "note")
OF_HOLES = ("hole_depth", "oversize")  # asked of what is ground on its point
CHANGED = (
    *("smallest", "shortest", "runout_limit", "chamfer", "other_radius", "tolerance", "match_tolerance"),
    *OF_HOLES,
)


class LineActionForm(ShopForm):
    """Something done to a line. title and verb: the page's words; about: one sentence of what will happen."""

    title = verb = about = ""

    def __init__(self, *args: Any, line: Line, pieces: Sequence[Piece], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.line, self.by_id = line, {str(piece.pk): piece for piece in pieces}
        if "pieces" in self.fields:
            boxes = self.fields["pieces"]
            assert isinstance(boxes, forms.MultipleChoiceField)
            boxes.choices = [(key, piece.short) for key, piece in self.by_id.items()]
        unit_choices.apply_units(self, f"line:{line.pk}", line.batch.customer.unit)

    @staticmethod
    def fits(piece: Piece) -> bool:
        return True

    def shown_fields(self) -> list[tuple[forms.BoundField, bool]]:
        """The fields in their order, and whether each takes the whole width; pieces and version stand apart."""
        return [(bound, bound.name in WIDE) for bound in self if bound.name not in ("pieces", "version")]

    def chosen(self) -> list[Piece]:
        return [self.by_id[key] for key in self.cleaned_data["pieces"]]

    def act(self, by: Person) -> None:
        raise NotImplementedError


class PiecesForm(LineActionForm):
    """Something done to some of the line's pieces."""

    pieces = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "A ticked piece is no longer on this line, or this action does not fit it."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["pieces"].error_messages["required"] = "Tick at least one piece."


class ChangeForm(LineActionForm, VersionedForm):
    title, verb = "Edit line", "Save"
    about = "Where a limit is empty, the customer's own limit holds."
    customer_tool_number = forms.CharField(label="Customer's part number", max_length=60, required=False)
    smallest = LengthText(label="Smallest diameter, this line", least_nm=100_000, most_nm=500_000_000, required=False)
    shortest = LengthText(label="Shortest usable length, this line", most_nm=500_000_000, required=False)
    runout_limit = LengthText(label="Largest runout, this line", least_nm=250, most_nm=1_000_000, required=False)
    chamfer = LengthText(label="Corners may be clipped, this line, up to", most_nm=10_000_000, required=False)
    other_radius = LengthText(
        label="Another corner radius that will do", least_nm=1_000, most_nm=100_000_000, required=False
    )
    hole_depth = LengthText(
        label="Deepest hole that is drilled, at full diameter", least_nm=100_000, most_nm=500_000_000, required=False
    )
    oversize = LengthText(
        label="A hole may be larger than the drill by", least_nm=2_540, most_nm=2_000_000, required=False
    )
    tolerance = LengthText(label="Tolerance on the diameter, ±", least_nm=2_540, most_nm=1_000_000)
    check_every = WholeText(label="Check the diameter of every nth", least=1, most=actions.MOST_PIECES)
    matched = forms.BooleanField(label="Keep matched", required=False)
    match_tolerance = LengthText(label="Matched within", least_nm=2_540, most_nm=5_000_000, required=False)
    note = forms.CharField(max_length=2000, required=False)

    def __init__(self, *args: Any, line: Line, **kwargs: Any) -> None:
        unit = line.batch.customer.unit
        lengths = {name: exact_text(getattr(line, f"{name}_nm"), unit) for name in CHANGED}
        plain = {name: getattr(line, name) for name in ("customer_tool_number", "check_every", "matched", "note")}
        super().__init__(*args, line=line, initial=lengths | plain, **kwargs)
        if "point" not in line.family.kind_data.grinds:
            for name in OF_HOLES:
                del self.fields[name]
        self.set_version(line)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("matched") and not data.get("match_tolerance") and "match_tolerance" not in self.errors:
            self.add_error(
                "match_tolerance",
                "Write how closely the pieces stay matched: .0005 in for example, from .0001 in to 5 mm.",
            )
        return data

    def act(self, by: Person) -> None:
        data = self.cleaned_data
        asked = [name for name in CHANGED if name in self.fields]
        lengths = {f"{name}_nm": data[name].nm if data[name] else None for name in asked}
        actions.change_line(
            by=by,
            line=self.line,
            **lengths,
            customer_tool_number=data["customer_tool_number"],
            check_every=data["check_every"],
            matched=data["matched"],
            note=data["note"],
        )
        unit_choices.save_units(self, f"line:{self.line.pk}")


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
