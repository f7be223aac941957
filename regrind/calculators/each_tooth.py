"""Odd flutes tooth by tooth: a V-anvil with each tooth once on top, or an indicator over each against a gauge pin."""

import math
from collections.abc import Sequence
from typing import Any

from django import forms

from regrind.geometry.bridging import read_against_pin
from regrind.geometry.errors import Refused
from regrind.geometry.gauging import find_swept_diameter, find_vee_angle, find_vee_diameter
from regrind.geometry.units import Unit

from . import formatting
from .draw_odd import draw_teeth
from .fields import CalculatorForm, choice, digit, length
from .result import CalculatorResult, Figure, Table, WorkingStep, find_expanded

MOST_TEETH, FIRST_TEETH = 9, "3"
FIELDS = {
    "heights_mm": "tooth_1",
    "vee_mean_mm": "vee_1",
    "height_mm": "vee_1",
    "pin_diameter_mm": "pin",
    "readings_mm": "tooth_1",
}
SHOWS = [("diameter", "the diameter, on its scale"), ("height", "the height, apex to top")]


class ToothForm(CalculatorForm):
    """A form with places for each tooth's readings, as many as the tool has teeth; `rows` starts their names."""

    rows: tuple[str, ...] = ("tooth",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.count = self._count_teeth()
        for row in self.rows:
            for k in range(self.count + 1, MOST_TEETH + 1):
                del self.fields[f"{row}_{k}"]

    @classmethod
    def example(cls, unit: Unit) -> dict[str, str]:
        """What the page opens with: readings of the first three teeth."""
        fields = super().example(unit)
        beyond = {f"{row}_{k}" for row in cls.rows for k in range(int(FIRST_TEETH) + 1, MOST_TEETH + 1)}
        return {name: value for name, value in fields.items() if name not in beyond}

    def _count_teeth(self) -> int:
        """How many teeth were chosen, 3 before anything sensible was."""
        asked = self.data.get("teeth", "")
        allowed = dict(self.fields["teeth"].choices)  # type: ignore[attr-defined]  # every child has a choice there
        return int(asked if asked in allowed else FIRST_TEETH)

    def is_by_tooth(self, name: str) -> bool:
        return name.rpartition("_")[0] in self.rows and name.rpartition("_")[2].isdigit()

    def asked(self) -> list[forms.BoundField]:
        return [bound for bound in super().asked() if not self.is_by_tooth(bound.name)]

    def by_tooth(self) -> list[forms.BoundField]:
        """The places for readings, tooth after tooth."""
        return [self[f"{row}_{k}"] for k in range(1, self.count + 1) for row in self.rows]

    def outgrown(self) -> bool:
        """Whether the page that asks shows places for another number of teeth."""
        return sum(1 for name in self.data if self.is_by_tooth(name)) != len(self.rows) * self.count

    def read(self, row: str) -> list[float]:
        """The readings of one row, none at all or one of every tooth."""
        readings = [self.mm_if(f"{row}_{k}") for k in range(1, self.count + 1)]
        read = [value for value in readings if value is not None]
        if read and len(read) < self.count:
            raise Refused(
                f"{row}_{readings.index(None) + 1}", f"is missing: {len(read)} of {self.count} teeth were read"
            )
        return read


class MeanForm(ToothForm):
    rows = ("vee", "tooth")
    teeth = choice("Number of teeth", [(f"{n}", f"{n}") for n in range(3, MOST_TEETH + 1, 2)], FIRST_TEETH)
    shows = choice("The V-anvil shows", SHOWS, "diameter")
    mean_digit = digit("V-anvil read to")
    reading_digit = digit("Indicator read to")


class GaugePinForm(ToothForm):
    teeth = choice("Number of teeth", [(f"{n}", f"{n}") for n in range(2, MOST_TEETH + 1)], FIRST_TEETH)
    pin = length("Diameter of the gauge pin", mm="10.000", inch=".3750", least_mm=0.1)
    pin_digit = digit("Pin known to")
    reading_digit = digit("Indicator read to")


def _add_row(
    form: type[ToothForm], row: str, label: str, low_mm: float, mm: Sequence[str], inch: Sequence[str]
) -> None:
    """A place for each of the most teeth, filled for the worked example as far as that goes."""
    for k in range(MOST_TEETH):
        shown = {"mm": mm[k] if k < len(mm) else "", "inch": inch[k] if k < len(inch) else ""}
        form.base_fields[f"{row}_{k + 1}"] = length(
            label.format(k + 1), least_mm=low_mm, needed=False, most_nm=500_000_000, **shown
        )


_add_row(MeanForm, "vee", "V-anvil, tooth {} on top", 0.1, ["10.0067"] * 3, [".39397"] * 3)
_add_row(MeanForm, "tooth", "Indicator over tooth {}", -50, ["0", "-0.010", "-0.010"], ["0", "-.0004", "-.0004"])
_add_row(
    GaugePinForm, "tooth", "Indicator over tooth {}", -250, ["0.012", "0.010", "0.007"], [".0005", ".0004", ".0003"]
)


def by_mean(form: MeanForm) -> CalculatorResult:
    """The mean diameter of a V-anvil's readings, and what the highest tooth sweeps once each was indicated."""
    unit, teeth, read = form.unit, form.count, form.read("vee")
    if not read:
        raise Refused("vee_1", "is required, and so is that of every tooth")
    names = [f"v{k}" for k in range(1, teeth + 1)]
    values, digits = dict(zip(names, read, strict=True)), dict.fromkeys(names, form.mm("mean_digit"))

    def find_mean(**readings: float) -> float:
        mean = math.fsum(readings.values()) / len(readings)
        return find_vee_diameter(mean, teeth) if form.cleaned_data["shows"] == "height" else mean

    mean = find_mean(**values)
    figure = formatting.length_figure("Mean diameter", mean, unit, find_expanded(find_mean, values, digits))
    working = [_mean_line(form, read, mean)]
    heights = form.read("tooth")
    if not heights:
        drawing = draw_teeth([mean / 2] * teeth, mean / 2, "mean circle, as the V-anvil reads", unit)
        return CalculatorResult([figure], drawing, [*working, formatting.budget("D", form)], (), [_about_mean(teeth)])
    return _swept(form, figure, working, mean, heights, find_expanded(find_mean, values, digits))


def _swept(
    form: MeanForm, figure: Figure, working: list[WorkingStep], mean: float, heights: list[float], of_mean: float
) -> CalculatorResult:
    unit, names = form.unit, [f"h{k}" for k in range(1, form.count + 1)]
    swept = find_swept_diameter(mean, heights)
    of_heights = find_expanded(
        lambda **h: 2 * math.fsum(h.values()) / len(h),
        dict(zip(names, heights, strict=True)),
        dict.fromkeys(names, form.mm("reading_digit")),
    )
    # every tooth's reading counts, the highest's 0 too
    figures = [
        formatting.length_figure("Diameter swept", swept, unit, math.hypot(of_mean, of_heights)),
        figure,
        _runout(heights, form),
    ]
    numbers = formatting.letters(unit, D_V=mean, **{"mean h": math.fsum(heights) / len(heights)})
    working = [
        *working,
        WorkingStep(
            "D_swept = D_V − 2 mean(h)",
            numbers,
            f"D_swept = {formatting.fine_both(swept, unit)}",
            "the mean reading is twice the mean radius (summed over the V’s three contacts)",
        ),
        formatting.budget("D_swept", form),
    ]
    radii = [swept / 2 + h for h in heights]
    return CalculatorResult(
        figures,
        draw_teeth(radii, mean / 2, "mean circle, as the V-anvil reads", unit),
        working,
        (),
        [
            "The indicator counts from the highest tooth: one of them is 0, the others are below it.",
            _about_mean(form.count),
        ],
        _tooth_table(radii, unit),
    )


def _mean_line(form: MeanForm, read: list[float], mean: float) -> WorkingStep:
    numbers = ", ".join(formatting.plain(value, form.unit) for value in read)
    if form.cleaned_data["shows"] == "diameter":
        return WorkingStep(
            "D_V = mean of the readings",
            numbers,
            f"D_V = {formatting.fine_both(mean, form.unit)}",
            "each tooth once on top, the V’s three contacts come round to every tooth",
        )
    angle = formatting.degrees(find_vee_angle(form.count) / 2)
    return WorkingStep(
        "D_V = 2 mean(H) / (1 + 1/sin φ)",
        f"H = {numbers}; φ = {angle}",
        f"D_V = {formatting.fine_both(mean, form.unit)}",
        "right triangle of apex, axis and contact",
    )


def _about_mean(teeth: int) -> str:
    if teeth == 3:
        return "With three teeth every reading is twice the mean radius, whichever is on top: what differs is error."
    return "With five teeth and more a single reading is no diameter: their mean is, each tooth once on top."


def by_gauge_pin(form: GaugePinForm) -> CalculatorResult:
    """Each tooth's radius from an indicator zeroed on a gauge pin; any number of teeth, any index."""
    pin, unit, readings = form.mm("pin"), form.unit, form.read("tooth")
    if not readings:
        raise Refused("tooth_1", "is required, and so is that of every tooth")
    radii = read_against_pin(pin, readings)
    expanded = find_expanded(
        lambda pin_mm, reading_mm: pin_mm + 2 * reading_mm,
        {"pin_mm": pin, "reading_mm": max(readings)},
        {"pin_mm": form.mm("pin_digit"), "reading_mm": form.mm("reading_digit")},
    )
    figures = [formatting.length_figure("Diameter swept", 2 * max(radii), unit, expanded), _runout(readings, form)]
    working = [
        WorkingStep(
            "r_i = p/2 + reading; D_swept = 2 max r_i",
            formatting.letters(unit, p=pin, highest=max(readings)),
            f"D_swept = {formatting.fine_both(2 * max(radii), unit)}",
            "sum of pin radius and reading; any index",
        ),
        formatting.budget("D_swept", form),
    ]
    return CalculatorResult(
        figures,
        draw_teeth(radii, pin / 2, "gauge pin", unit),
        working,
        (),
        ["Zero the indicator on the pin, held on the tool’s axis; above the pin is positive."],
        _tooth_table(radii, unit),
    )


def _runout(readings: list[float], form: CalculatorForm) -> Figure:
    """Highest less lowest; two readings of the indicator make it."""
    expanded = find_expanded(
        lambda high, low: high - low,
        {"high": max(readings), "low": min(readings)},
        dict.fromkeys(("high", "low"), form.mm("reading_digit")),
    )
    return formatting.length_figure("Runout, highest to lowest", max(readings) - min(readings), form.unit, expanded)


def _tooth_table(radii: list[float], unit: Unit) -> Table:
    most = max(radii)
    rows = [[f"{k}", formatting.fine(r, unit), formatting.fine(r - most, unit)] for k, r in enumerate(radii, 1)]
    return Table(["Tooth", "Radius", "Below the highest"], rows, "Tooth by tooth")
