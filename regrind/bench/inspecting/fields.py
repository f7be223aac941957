"""What is seen on worn tools. Three things are needed; all else may stay empty."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from django import forms
from django.utils.safestring import SafeString

from regrind.geometry.units import Typed
from regrind.record.models import Line, Piece
from regrind.shop.fields import unit_choices
from regrind.shop.fields.dates import DoneAt
from regrind.shop.fields.forms import AngleText, LengthText
from regrind.shop.fields.whole_numbers import read_whole

from ..drawings.teeth_ring import draw_ring
from ..gauge_fields import GaugeChoice
from ..models import METHODS
from ..piece_form import PiecesForm
from ..readings import Angle, Mark
from . import damage_map

MARKS = 6
MOST_TEETH_READ = 20
MARK_LENGTHS = (("from", "from"), ("to", "to"), ("depth", "depth"), ("wear_land", "or wear land"))
WAYS = [
    ("tangent", "along the tangent"),
    ("land", "along the ground land"),
    ("arc", "turned under the indicator"),
    ("traversed", "stylus traversed sideways"),
]
CM_NM = 10_000_000


def usual_method(teeth: int | None, unequal_index: bool) -> str:
    """The way of measuring a diameter that fits the tooth count, '' where that is not known."""
    if unequal_index:
        return "swept"
    return "" if not teeth else "micrometer" if teeth % 2 == 0 else "v-anvil"


class InspectFields(PiecesForm):
    """An inspection of some of a line's pieces. `known`: what to show at first, by field name, as it was typed."""

    diameter = LengthText(label="Diameter", least_nm=100_000, most_nm=500_000_000)
    diameter_source = forms.ChoiceField(
        label="It was",
        choices=[("measured", "measured"), ("marked", "as marked")],
        widget=forms.RadioSelect,
        initial="measured",
    )
    damage = forms.ChoiceField(
        label="Deepest damage",
        widget=forms.RadioSelect,
        initial="depth",
        choices=[("depth", "a depth"), ("corners", "corners only"), ("nothing", "nothing seen")],
    )
    damage_depth = LengthText(label="How deep, on the radius", most_nm=5 * CM_NM, required=False)
    reach = LengthText(label="How far back from the end", most_nm=30 * CM_NM, required=False)
    teeth = forms.IntegerField(
        label="Flutes or teeth",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        min_value=2,
        max_value=99,
        error_messages={
            "invalid": "Write a whole number of teeth, from 2 to 99.",
            "min_value": "From 2 to 99 teeth fit here.",
            "max_value": "From 2 to 99 teeth fit here.",
        },
    )
    method = forms.ChoiceField(label="Measured with", choices=[("", "not said"), *METHODS], required=False)
    gauge = GaugeChoice("Gauge for the diameter")
    indicator = GaugeChoice("Gauge for runout and depths")
    tir = LengthText(label="Runout of the teeth, total reading", most_nm=CM_NM, required=False)
    shank_tir = LengthText(label="Shank runout", most_nm=CM_NM, required=False)
    end_depth = LengthText(label="Damage on the end face", most_nm=5 * CM_NM, required=False)
    flute_length = LengthText(label="Flute length", most_nm=100 * CM_NM, required=False)
    overall = LengthText(label="Overall length", least_nm=1_000_000, most_nm=100 * CM_NM, required=False)
    core = LengthText(label="Core diameter", most_nm=50 * CM_NM, required=False)
    land = LengthText(label="Primary land", most_nm=10 * CM_NM, required=False)
    rake = AngleText(label="Radial rake", least=-30, most=40, required=False)
    primary = AngleText(label="Primary relief", least=0, most=45, required=False)
    secondary = AngleText(label="Secondary relief", least=0, most=45, required=False)
    drop = LengthText(label="Indicator drop", most_nm=CM_NM, required=False)
    drop_over = LengthText(label="over a distance of", least_nm=1_000, most_nm=CM_NM, required=False)
    drop_way = forms.ChoiceField(label="distance taken", choices=WAYS, required=False)
    rows = forms.IntegerField(required=False, widget=forms.HiddenInput)
    note = forms.CharField(max_length=500, required=False, label="Note")
    done_at = DoneAt()
    sure = forms.BooleanField(label="It is right as typed", required=False)

    asks_sure = False
    opened = ""  # the fold that the page was asked to change
    tapped: int | None = None  # the mark that was tapped last
    full = False  # whether a mark was left out, since no more fit
    most_marks = damage_map.MOST_MARKS

    LENGTHS = (
        "diameter",
        "damage_depth",
        "reach",
        "tir",
        "shank_tir",
        "end_depth",
        "flute_length",
        "overall",
        "core",
        "land",
        "drop",
        "drop_over",
    )
    ANGLES = ("rake", "primary", "secondary")
    COMPUTED_ONLY = ("method", "tir", "flute_length", "core", "land", *ANGLES, "drop", "drop_over", "drop_way")

    def __init__(
        self,
        *args: Any,
        line: Line,
        pieces: Sequence[Piece],
        expected: dict[int, int],
        ticked: Sequence[str] = (),
        known: Mapping[str, Any] | None = None,
        **kwargs: Any,
    ) -> None:
        family, kind = line.family, line.family.kind_data
        first = {"teeth": family.teeth, "rows": MARKS, **(known or {})}
        self.as_on = first.pop("as_on", "")  # the piece before, where something is taken over from it
        first.setdefault("method", usual_method(_whole(first["teeth"], 99), family.unequal_index))
        super().__init__(*args, line=line, pieces=pieces, expected=expected, initial=first, **kwargs)
        self.confirmed: list[str] = []  # labels of readings that look odd and were said to be right
        self.relief_cdeg: int | None = None  # the primary relief that a drop came to
        boxes = self.fields["pieces"]
        boxes.error_messages["required"] = "Tick the pieces that were looked at."
        self.initial["pieces"] = list(ticked) or [key for key, p in self.by_id.items() if p.status == "arrived"]
        self.computed = kind.computed
        self.tooth_names: list[str] = []
        self.mark_numbers = range(0)
        self.word_names: list[str] = []
        if kind.computed:
            told = self.data if self.is_bound else first
            self._add_teeth(_whole(told.get("teeth"), 99) or family.teeth or 0)
            self._add_marks(_whole(told.get("rows"), damage_map.MOST_MARKS) or MARKS)
        else:
            self._make_plain(kind.inspected)
        unit_choices.apply_units(self, f"line:{line.pk}", line.batch.customer.unit)

    def _make_plain(self, inspected: Sequence[str]) -> None:
        """A kind that is not computed: in words, for each thing that is looked at on it; a form has no diameter."""
        for name in self.COMPUTED_ONLY:
            del self.fields[name]
        self.fields["diameter"].required = "diameter" in inspected
        words = {f"seen_{n}": what for n, what in enumerate(inspected) if what != "diameter"}
        self.word_names = list(words)
        for name, what in words.items():
            self.fields[name] = forms.CharField(label=what.capitalize(), max_length=120, required=False)

    def _add_teeth(self, teeth: int) -> None:
        self.tooth_names = [f"tooth_{n}" for n in range(1, teeth + 1)] if teeth <= MOST_TEETH_READ else []
        for name in self.tooth_names:
            self.fields[name] = LengthText(label=f"Tooth {name[6:]}", least_nm=-CM_NM, most_nm=0, required=False)
            self.fields[name].widget.attrs["data-signed"] = ""

    def _add_marks(self, rows: int) -> None:
        most = len(self.tooth_names) or 99
        self.mark_numbers = range(1, min(rows, damage_map.MOST_MARKS) + 1)
        for n in self.mark_numbers:
            self.fields[f"mark_{n}_tooth"] = forms.IntegerField(
                label="Tooth",
                min_value=1,
                max_value=most,
                required=False,
                error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), f"From tooth 1 to {most}."),
                widget=forms.TextInput(attrs={"inputmode": "numeric"}),
            )
            for name, label in MARK_LENGTHS:
                self.fields[f"mark_{n}_{name}"] = LengthText(label=label, most_nm=30 * CM_NM, required=False)
            self.fields[f"mark_{n}_what"] = forms.CharField(label="what", max_length=40, required=False)

    def tooth_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.tooth_names]

    def word_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.word_names]

    def mark_rows(self) -> list[list[forms.BoundField]]:
        return [[self[f"mark_{n}_{name}"] for name in damage_map.ROW] for n in self.mark_numbers]

    def ask_sure(self, name: str | None, said: str) -> None:
        """Ask whether `said` is right, beside the field, before anything is stored."""
        self.asks_sure = True
        self.add_error(name, f"{said} If that is right, tick “it is right as typed” and save again.")

    def _opens(self, names: Sequence[str]) -> bool:
        filled = self.data if self.is_bound else self.initial
        return any(name in self.errors or filled.get(name) not in (None, "") for name in names)

    @property
    def runout_open(self) -> bool:
        """Whether this folded part holds an error, or something that was typed or is known from before."""
        return self._opens([*self.tooth_names, "tir", "shank_tir"]) or self.opened == "teeth"

    @property
    def marks_open(self) -> bool:
        marks = [f"mark_{n}_{name}" for n in self.mark_numbers for name in damage_map.ROW]
        return self._opens([*marks, "end_depth", "overall"]) or self.opened == "marks"

    @property
    def more_open(self) -> bool:
        rest = ("core", "rake", "land", "primary", "secondary", "flute_length", "drop", "drop_over")
        offered = {"method", "gauge", "indicator", "teeth", "drop_way"}
        return self._opens(rest) or bool(offered & set(self.errors))

    def flank(self) -> list[damage_map.Band]:
        """The flank to tap damage on; nothing where the teeth are not known, or more than are drawn."""
        typed = self.data if self.is_bound else self.initial
        marks = damage_map.marks_in(typed, len(self.mark_numbers))
        return damage_map.unroll(self.line, len(self.tooth_names), marks) if self.tooth_names else []

    def ring(self) -> SafeString | str:
        teeth = [(self[name].id_for_label, str(self[name].value() or "")) for name in self.tooth_names]
        return draw_ring(teeth) if teeth else ""

    def values(self) -> dict[str, Any]:
        """The arguments of `actions.inspect`, besides pieces and revisions."""
        data = self.cleaned_data
        seen = {str(self.fields[name].label): data[name] for name in self.word_names if data.get(name)}
        if self.confirmed:
            seen["Right as typed"] = ", ".join(self.confirmed)
        marks = [replace(mark, number=n) for n, mark in enumerate(self.marks(), start=1)]
        return {name: data[name] for name in ("diameter_source", "damage", "gauge", "indicator", "note", "done_at")} | {
            "method": data.get("method", ""),
            "teeth": data.get("teeth"),
            "typed": self.lengths(),
            "angles": self.angles(),
            "each_tooth": self.each_tooth(),
            "marks": marks,
            "observations": seen,
            "relief_cdeg": self.relief_cdeg,
            "drop_way": data["drop_way"] if data.get("drop") else "",
        }

    def lengths(self) -> dict[str, Typed]:
        """The lengths of the whole tool, by what was read."""
        return {name: typed for name in self.LENGTHS if (typed := self.cleaned_data.get(name)) is not None}

    def angles(self) -> dict[str, Angle]:
        return {
            name: Angle(cdeg, self.data[name].strip())
            for name in self.ANGLES
            if (cdeg := self.cleaned_data.get(name)) is not None
        }

    def each_tooth(self) -> list[Typed]:
        """Every tooth's reading, or none at all."""
        return [typed for name in self.tooth_names if (typed := self.cleaned_data.get(name)) is not None]

    def marks(self) -> list[Mark]:
        """The marks that were typed, numbered by their rows."""
        data = self.cleaned_data
        return [
            Mark(
                n,
                data[f"mark_{n}_tooth"],
                data[f"mark_{n}_to"],
                data[f"mark_{n}_from"],
                data[f"mark_{n}_depth"],
                data[f"mark_{n}_wear_land"],
                data[f"mark_{n}_what"],
            )
            for n in self.mark_numbers
            if data.get(f"mark_{n}_tooth")
        ]


def _whole(value: Any, most: int) -> int:
    """A whole number up to `most` out of whatever was sent, 0 where it is none."""
    number = read_whole(str(value or "").strip(), 3)
    return number if number is not None and number <= most else 0
