"""The fields of an inspection. Three things are needed; all else may stay empty."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from regrind.geometry.units import show_with_unit
from regrind.record.dimension_words import say_assumed
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.shop.fields import unit_choices
from regrind.shop.fields.dates import DoneAt
from regrind.shop.fields.forms import AngleText, LengthText

from ..gauge_fields import GaugeChoice
from ..kinds import measures
from ..kinds.kind import KindPlan
from ..kinds.measures import MEASURES
from ..kinds.registry import OF_KINDS, kind_of
from ..models import CENTRE_CUTTING, METHODS, UNMEASURABLE, WEAR_LAND_WAYS
from ..piece_form import PiecesForm
from . import damage_map, tooth_rows
from .heights import HeightText, find_arc
from .whole_numbers import make_count, read_count

MARKS, ROWS = 6, 3  # rows at first: of marks, of single teeth
MOST_TEETH_READ = 20
MARK_LENGTHS = (("from", "from"), ("to", "to"), ("depth", "depth"), ("wear_land", "or wear land"))
DROP_WAYS = [
    ("tangent", "along the tangent"),
    ("land", "along the ground land"),
    ("arc", "turned under the indicator"),
    ("traversed", "stylus traversed sideways"),
]
TOOTH_NOT_KNOWN = "0"
CM_NM = 10_000_000
END_COUNTS = "Back from the end to where the gash runs out; a cut-back past it means gashing again."
END_DROP_COUNTS = "Instead of the end relief: the indicator moved straight across the land of an end tooth."
END_LAND_COUNTS = "Left empty, the wear is taken to end on the primary relief."
LAND_COUNTS = "Square to a helical edge a wear land is narrower than in the cutting direction."


def usual_method(teeth: int | None, unequal_index: bool) -> str:
    """The way of measuring a diameter that fits the tooth count, '' where that is not known."""
    if unequal_index:
        return "swept"
    return "" if not teeth else "micrometer" if teeth % 2 == 0 else "v-anvil"


class InspectFields(PiecesForm):
    """An inspection of some of a line's pieces. `known`: what to show at first, by field name, as it was typed."""

    diameter = LengthText(
        label="Diameter", least_nm=100_000, most_nm=500_000_000, help_text="Measured where the edge is unworn."
    )
    diameter_worn = forms.BooleanField(label="Taken over a worn edge: the depth may count twice", required=False)
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
        choices=[("depth", "a depth"), ("corners", "corners only"), ("nothing", "no damage")],
    )
    damage_depth = LengthText(label="Depth per side", most_nm=5 * CM_NM, required=False)
    reach = HeightText(label="How far back from the end", most_nm=30 * CM_NM, required=False)
    corner_size = LengthText(label="Corner radius as it is", least_nm=1_000, most_nm=10 * CM_NM, required=False)
    back = LengthText(label="How far back from the edge", most_nm=5 * CM_NM, required=False)
    tooth_width = LengthText(label="Tooth width", most_nm=10 * CM_NM, required=False)
    unmeasurable_reason = forms.ChoiceField(label="It cannot be measured", choices=UNMEASURABLE, required=False)
    deepest_tooth = forms.ChoiceField(
        label="Which tooth has the deepest damage?", widget=forms.RadioSelect, required=False
    )
    wear_land_way = forms.ChoiceField(
        label="Wear lands are read",
        choices=WEAR_LAND_WAYS,
        widget=forms.RadioSelect,
        required=False,
        help_text=LAND_COUNTS,
    )
    teeth = make_count("Flutes or teeth", 2, 99, "teeth")
    method = forms.ChoiceField(label="Measured with", choices=[("", "not recorded"), *METHODS], required=False)
    gauge = GaugeChoice("Gauge for the diameter")
    indicator = GaugeChoice("Gauge for runout and depths")
    tir = LengthText(label="Runout of the teeth, total reading", most_nm=CM_NM, required=False)
    shank_tir = LengthText(label="Shank runout", most_nm=CM_NM, required=False)
    end_depth = LengthText(label="Damage on the end face", most_nm=5 * CM_NM, required=False)
    end_wear_land = LengthText(
        label="or its wear land",
        most_nm=5 * CM_NM,
        required=False,
        help_text="Needs the end relief and the axial rake.",
    )
    gash_length = LengthText(label="End gash, its length", most_nm=10 * CM_NM, required=False, help_text=END_COUNTS)
    dish = AngleText(label="Dish", least=0, most=15, required=False)
    end_primary = AngleText(label="End relief, primary", least=0, most=45, required=False)
    end_secondary = AngleText(label="End relief, secondary", least=0, most=45, required=False)
    end_rake = AngleText(label="Axial rake of the end", least=-30, most=40, required=False)
    end_land = LengthText(label="Land of an end tooth", most_nm=CM_NM, required=False, help_text=END_LAND_COUNTS)
    end_drop = LengthText(label="Drop on an end tooth", most_nm=CM_NM, required=False)
    end_drop_over = LengthText(
        label="straight across, over", least_nm=1_000, most_nm=CM_NM, required=False, help_text=END_DROP_COUNTS
    )
    centre_cutting = forms.ChoiceField(
        label="Cuts to the centre", choices=[("", "not recorded"), *CENTRE_CUTTING], required=False
    )
    recess = LengthText(label="Depth of the centre recess", most_nm=10 * CM_NM, required=False)
    flute_length = LengthText(label="Flute length", most_nm=100 * CM_NM, required=False)
    overall = LengthText(label="Overall length", least_nm=1_000_000, most_nm=100 * CM_NM, required=False)
    core = LengthText(label="Core diameter", most_nm=50 * CM_NM, required=False)
    land = LengthText(label="Primary land", most_nm=10 * CM_NM, required=False)
    helix = AngleText(label="Helix", least=0, most=60, required=False)
    rake = AngleText(label="Radial rake", least=-30, most=40, required=False)
    primary = AngleText(label="Primary relief", least=0, most=45, required=False)
    secondary = AngleText(label="Secondary relief", least=0, most=45, required=False)
    drop = LengthText(label="Indicator drop", most_nm=CM_NM, required=False)
    drop_over = LengthText(label="over a distance of", least_nm=1_000, most_nm=CM_NM, required=False)
    drop_way = forms.ChoiceField(label="distance taken", choices=DROP_WAYS, required=False)
    rows = forms.IntegerField(required=False, widget=forms.HiddenInput)
    note = forms.CharField(max_length=500, required=False, label="Note")
    done_at = DoneAt()
    sure = forms.BooleanField(label="The values are right as typed", required=False)

    asks_sure = False
    ANGLES = (
        "helix",
        "rake",
        "primary",
        "secondary",
        "dish",
        "end_primary",
        "end_secondary",
        "end_rake",
        *measures.ANGLES,
    )
    LENGTHS = (
        *("diameter", "damage_depth", "reach", "tir", "shank_tir", "end_depth", "gash_length"),
        *("flute_length", "overall", "core", "land", "drop", "drop_over"),
        *("corner_size", "end_drop", "end_drop_over", "recess", "back", "tooth_width", "end_wear_land", "end_land"),
        *measures.LENGTHS,
    )
    COMPUTED_ONLY = (
        *("deepest_tooth", "wear_land_way", "method", "tir", "gash_length", "flute_length", "core", "land"),
        *(*ANGLES, "drop", "drop_over", "drop_way", *OF_KINDS),
        *("end_drop", "end_drop_over", "centre_cutting", "recess", "end_wear_land", "end_land"),
    )

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
        kind, self.tool, self.known_tool = line.family.kind_data, tool_of(line), tool_of(line, with_assumed=False)
        first = {"teeth": self.known_tool.teeth, "rows": MARKS if kind.computed else ROWS, **(known or {})}
        self.as_on = first.pop("as_on", "")  # the piece before, where something is taken over from it
        first.setdefault(
            "method", usual_method(read_count(first["teeth"], 99) or self.tool.teeth, self.tool.unequal_index)
        )
        super().__init__(*args, line=line, pieces=pieces, expected=expected, initial=first, **kwargs)
        self.confirmed: list[str] = []  # labels of readings that look odd and were confirmed
        self.relief_cdeg: int | None = None  # the primary relief that a drop came to
        self.end_relief_cdeg: int | None = None  # and the end relief that one on an end tooth came to
        self.unmarked = ""  # in words, the deepest damage that no mark shows
        self.fields["pieces"].error_messages["required"] = "Tick the pieces that were inspected."
        self.initial["pieces"] = list(ticked) or [key for key, p in self.by_id.items() if p.status == "arrived"]
        self.computed, self.face_only = kind.computed, kind_of(line.family).face_only
        self.tooth_names: list[str] = []
        self.end_tooth_names: list[str] = []
        self.mark_numbers = self.row_numbers = range(0)
        self.row_quantities: Sequence[str] = ()
        self.word_names: list[str] = []
        typed = self.data if self.is_bound else first
        if kind.computed:
            self._add_teeth(read_count(typed.get("teeth"), 99) or self.tool.teeth or 0)
            self._add_marks(read_count(typed.get("rows"), damage_map.MOST_MARKS) or MARKS)
        else:
            self._make_plain(kind.inspected, kind_of(line.family).planner)
            self._add_rows(typed)
        self._fit_kind(line)
        if self.is_bound and self.data.get("unmeasurable_reason"):
            self.fields["diameter"].required = False
        unit_choices.apply_units(self, f"line:{line.pk}", line.batch.customer.unit)

    def _fit_kind(self, line: Line) -> None:
        """The fields that this kind asks for, in its words; on an arc a height may be an angle."""
        kind, family = kind_of(line.family), tool_of(line)
        of_planner = (*kind.planner.asked, *kind.planner.more) if kind.planner else ()
        for name in set(OF_KINDS) - {*kind.readings, *of_planner}:
            self.fields.pop(name, None)
        for name in kind.unasked:
            self.fields.pop(name, None)
        if kind.damages:
            damage = self.fields["damage"]
            assert isinstance(damage, forms.ChoiceField)
            damage.choices = list(kind.damages)
        for name in (name for name in self.fields if name in kind.labels):
            self.fields[name].label = kind.labels[name]
        for name in (name for name in self.fields if name in kind.hints):
            self.fields[name].help_text = kind.hints[name]
        typed = self.data if self.is_bound else self.initial
        self.arc_nm = find_arc(line.family.kind_data.corner, typed, family, line.batch.customer.unit)
        for field in self.fields.values():
            if isinstance(field, HeightText):
                field.arc_nm = self.arc_nm
        if "corner_size" in self.fields and family.corner_radius_nm:
            radius = show_with_unit(family.corner_radius_nm, line.batch.customer.unit)
            known = say_assumed(line, "corner_radius_nm") and "assumed from the family"
            self.fields["corner_size"].help_text = f"Left empty: {radius}, {known or 'as it was when new'}."

    def _make_plain(self, inspected: Sequence[str], planner: KindPlan | None) -> None:
        """A kind that is not computed: in words, for each thing inspected on it; a form cutter has no diameter.

        One with a plan of its own is read by its own fields instead.
        """
        for name in set(self.COMPUTED_ONLY) - {*(planner.keeps if planner else ())}:
            self.fields.pop(name, None)
        self.fields["diameter"].required = "diameter" in inspected
        if planner:
            if planner.teeth:
                self.fields["teeth"] = make_count("Teeth", 1, planner.teeth, "teeth")
            self.fields |= {name: MEASURES[name].make_field() for name in (*planner.asked, *planner.more)}
            self.row_quantities = planner.by_tooth
            return
        labels = {f"seen_{n}": thing for n, thing in enumerate(inspected) if thing != "diameter"}
        self.word_names = list(labels)
        for name, thing in labels.items():
            self.fields[name] = forms.CharField(label=thing.capitalize(), max_length=120, required=False)

    def _add_rows(self, typed: Mapping[str, Any]) -> None:
        """A row for each tooth that is written by itself, where this kind is read so."""
        rows = read_count(typed.get("rows"), tooth_rows.MOST_ROWS) or ROWS
        self.row_numbers = range(1, rows + 1) if self.row_quantities else range(0)
        teeth = read_count(typed.get("teeth"), 300) or self.tool.teeth or 0
        self.fields |= tooth_rows.make_fields(self.row_numbers, self.row_quantities, teeth)

    def _add_teeth(self, teeth: int) -> None:
        self.tooth_names = self._add_each_tooth("tooth", "Tooth", teeth)
        self.end_tooth_names = self._add_each_tooth("end_tooth", "End tooth", teeth)
        gauge = self.fields["gauge"]
        assert isinstance(gauge, GaugeChoice)
        gauge.teeth, gauge.size_nm = teeth or None, self.line.family.nominal_nm
        deepest = self.fields["deepest_tooth"]
        assert isinstance(deepest, forms.ChoiceField)
        deepest.choices = [
            *((str(n), f"tooth {n}") for n in range(1, (teeth or 99) + 1)),
            (TOOTH_NOT_KNOWN, "not known: count it on every tooth"),
        ]

    def _add_each_tooth(self, quantity: str, label: str, teeth: int) -> list[str]:
        """A field for each tooth, by name; none where there are too many teeth to read."""
        names = {f"{quantity}_{n}": f"{label} {n}" for n in range(1, teeth + 1) if teeth <= MOST_TEETH_READ}
        for name, words in names.items():
            self.fields[name] = LengthText(label=words, least_nm=-CM_NM, most_nm=0, required=False)
            self.fields[name].widget.attrs["data-signed"] = ""
        return list(names)

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
            for name, label in (pair for pair in MARK_LENGTHS if pair[0] != "depth" or not self.face_only):
                length = HeightText if name in ("from", "to") else LengthText
                self.fields[f"mark_{n}_{name}"] = length(label=label, most_nm=30 * CM_NM, required=False)
            self.fields[f"mark_{n}_what"] = forms.CharField(label="kind", max_length=40, required=False)

    def ask_sure(self, name: str | None, question: str) -> None:
        """Ask whether a doubtful value is right, beside its field, before anything is stored."""
        self.asks_sure = True
        self.add_error(name, f"{question} If that is right, tick “The values are right as typed” and save again.")
