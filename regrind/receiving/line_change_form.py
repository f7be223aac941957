"""Editing a line: its number, limits, holes and how its pieces are checked."""

from typing import Any

from django import forms

from regrind.geometry.errors import Refused
from regrind.record.holes import LONGEST, MOST_HOLES, read_hole_texts
from regrind.record.models import Line
from regrind.shop.fields import unit_choices
from regrind.shop.fields.forms import LengthText
from regrind.shop.fields.whole_numbers import WholeText
from regrind.shop.models import Person
from regrind.shop.posts.stale import VersionedForm

from . import actions
from .fields import exact_text
from .line_action_form import LineActionForm

CHANGED = (
    *("smallest", "shortest", "runout_limit", "chamfer", "other_radius", "tolerance", "match_tolerance"),
    *("hole_depth", "oversize", "narrowest", "gullet_limit", "reach_limit", "thickness_limit"),
)
OF_ALL = ("tolerance", "match_tolerance")  # of these no kind has its own say
PLAIN = ("customer_tool_number", "check_every", "matched", "note")
HOLES = ("hole", "smaller_holes")


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
    hole = forms.CharField(
        label="Hole to ream",
        max_length=LONGEST,
        required=False,
        help_text="H7, or its size and both deviations: 10 +0.040 +0.062.",
    )
    smaller_holes = forms.CharField(
        label="Smaller holes that will do",
        max_length=MOST_HOLES * LONGEST,
        required=False,
        help_text="9.8 H7; 9.5 H8. The reamer is ground down to one only after the customer was asked.",
    )
    narrowest = LengthText(label="Least width, this line", least_nm=100_000, most_nm=300_000_000, required=False)
    gullet_limit = LengthText(
        label="Least depth of the gullets, this line", least_nm=10_000, most_nm=100_000_000, required=False
    )
    reach_limit = LengthText(
        label="Least reach below the neck, this line", least_nm=10_000, most_nm=100_000_000, required=False
    )
    thickness_limit = LengthText(
        label="Least thickness of a tooth, this line", least_nm=10_000, most_nm=100_000_000, required=False
    )
    tolerance = LengthText(label="Tolerance on the diameter, ±", least_nm=2_540, most_nm=1_000_000)
    check_every = WholeText(label="Check the diameter of every nth", least=1, most=actions.MOST_PIECES)
    matched = forms.BooleanField(label="Keep matched, all at one size", required=False)
    match_tolerance = LengthText(label="Matched within", least_nm=2_540, most_nm=5_000_000, required=False)
    note = forms.CharField(max_length=2000, required=False)

    def __init__(self, *args: Any, line: Line, **kwargs: Any) -> None:
        unit = line.batch.customer.unit
        lengths = {name: exact_text(getattr(line, f"{name}_nm"), unit) for name in CHANGED}
        plain = {name: getattr(line, name) for name in (*PLAIN, *HOLES)}
        super().__init__(*args, line=line, initial=lengths | plain, **kwargs)
        for name in {*CHANGED, *HOLES} - {*OF_ALL, *line.family.kind_data.limits}:
            del self.fields[name]
        self.set_version(line)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("matched") and not data.get("match_tolerance") and "match_tolerance" not in self.errors:
            self.add_error(
                "match_tolerance",
                "Write how closely the pieces stay matched: .0005 in for example, from .0001 in to 5 mm.",
            )
        self._check_holes(data)
        return data

    def _check_holes(self, data: dict[str, Any]) -> None:
        """Each hole can be read as one."""
        for name in (name for name in HOLES if data.get(name)):
            try:
                read_hole_texts(data[name], self.line.family.nominal_nm, self.line.batch.customer.unit)
            except Refused as refused:
                self.add_error(name, refused.message)

    def act(self, by: Person) -> None:
        data = self.cleaned_data
        asked = [name for name in CHANGED if name in self.fields]
        lengths = {f"{name}_nm": data[name].nm if data[name] else None for name in asked}
        actions.change_line(
            by=by,
            line=self.line,
            **lengths,
            **{name: data[name] for name in (*PLAIN, *HOLES) if name in data},
        )
        unit_choices.save_units(self, f"line:{self.line.pk}")
