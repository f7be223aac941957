"""The diameter of a tool with an odd number of teeth, taken as alike: V-anvil, chord between teeth, over a pin."""

from regrind.geometry.bridging import find_chord, find_diameter_from_chord, find_diameter_over_pin
from regrind.geometry.gauging import find_flat_anvil_range, find_vee_angle, find_vee_diameter
from regrind.geometry.units import Unit

from . import formatting
from .draw_odd import draw_chord, draw_over_pin, draw_vee
from .fields import CalculatorForm, digit, length, whole
from .result import CalculatorResult, Figure, Table, WorkingStep, find_expanded

FIELDS = {
    "height_mm": "height",
    "chord_mm": "chord",
    "method": "teeth",
    "reading_mm": "reading",
    "pin_diameter_mm": "pin",
    "diameter_mm": "chord",
}
MEMORY = "right triangle of apex, axis and contact; the V’s faces are square to the radii of the two lower teeth"


class VeeForm(CalculatorForm):
    teeth = whole("Number of teeth, odd", "3", least=3, most=99)
    height = length("Height, apex to top tooth", mm="15.000", inch=".5625", least_mm=0.1)
    height_digit = digit("Height read to")


class ChordForm(CalculatorForm):
    teeth = whole("Number of teeth", "3", least=2, most=99)
    steps = whole("From one tooth to the", "1", least=1, most=98, help_text="1: the next tooth; 2: the one after it.")
    chord = length("Distance over the two tips", mm="8.660", inch=".3410", least_mm=0.05)
    chord_digit = digit("Distance read to")


class PinForm(CalculatorForm):
    teeth = whole("Number of teeth, odd", "5", least=3, most=99)
    pin = length("Diameter of the pin", mm="8.000", inch=".3150", least_mm=0.05)
    reading = length("Reading over tooth and pin", mm="15.7585", inch=".62041", least_mm=0.1)
    reading_digit = digit("Reading read to")
    pin_digit = digit("Pin known to")


def by_vee(form: VeeForm) -> CalculatorResult:
    """The diameter from the height over a V of the angle that fits the number of teeth."""
    teeth, height, unit = form.cleaned_data["teeth"], form.mm("height"), form.unit
    vee, diameter = find_vee_angle(teeth), find_vee_diameter(height, teeth)
    expanded = find_expanded(
        lambda height_mm: find_vee_diameter(height_mm, teeth),
        {"height_mm": height},
        {"height_mm": form.mm("height_digit")},
    )
    figures = [
        formatting.length_figure("Diameter", diameter, unit, expanded),
        Figure("V-anvil’s angle", formatting.degrees(vee)),
    ]
    working = [
        WorkingStep("2φ = 180° − 360°/N", f"N = {teeth}", f"2φ = {formatting.degrees(vee)}", MEMORY),
        WorkingStep(
            "D = 2 H / (1 + 1/sin φ)",
            formatting.letters(unit, H=height) + f", φ = {formatting.degrees(vee / 2)}",
            f"D = {formatting.fine_both(diameter, unit)}",
            "the same triangle; teeth evenly spaced and alike",
        ),
        formatting.budget("D", form),
    ]
    return CalculatorResult(
        figures,
        draw_vee(diameter / 2, teeth, unit),
        working,
        [
            ("H", "height from the V’s apex to the top of the tooth"),
            ("D", "diameter through the tips"),
            ("2φ", "included angle of the V"),
        ],
        [_describe_plain_micrometer(diameter, teeth, unit)],
    )


def by_chord(form: ChordForm) -> CalculatorResult:
    """The diameter from the distance between two tips."""
    teeth, steps, chord, unit = form.cleaned_data["teeth"], form.cleaned_data["steps"], form.mm("chord"), form.unit
    diameter = find_diameter_from_chord(chord, steps, teeth)
    expanded = find_expanded(
        lambda chord_mm: find_diameter_from_chord(chord_mm, steps, teeth),
        {"chord_mm": chord},
        {"chord_mm": form.mm("chord_digit")},
    )
    rows = [
        [f"{k}", formatting.fine_both(find_chord(diameter, k, teeth), unit)] for k in range(1, min(teeth // 2, 12) + 1)
    ]
    working = [
        WorkingStep(
            "D = c / sin(π k / N)",
            formatting.letters(unit, c=chord) + f", k = {steps}, N = {teeth}",
            f"D = {formatting.fine_both(diameter, unit)}",
            "chord of a circle; teeth evenly spaced and alike",
        )
    ]
    figures = [formatting.length_figure("Diameter", diameter, unit, expanded)]
    return CalculatorResult(
        figures,
        draw_chord(diameter / 2, steps, teeth, unit),
        [*working, formatting.budget("D", form)],
        [
            ("c", "distance between the two tips"),
            ("D", "diameter through the tips"),
            ("k", "teeth from one tip to the other"),
        ],
        (),
        Table(["Teeth apart", "Distance between tips"], rows, "All chords of this tool"),
    )


def by_pin(form: PinForm) -> CalculatorResult:
    """The diameter from a reading over one tooth and a pin that bridges the two opposite."""
    teeth, pin, reading, unit = form.cleaned_data["teeth"], form.mm("pin"), form.mm("reading"), form.unit
    diameter = find_diameter_over_pin(reading, pin, teeth)
    expanded = find_expanded(
        lambda reading_mm, pin_mm: find_diameter_over_pin(reading_mm, pin_mm, teeth),
        {"reading_mm": reading, "pin_mm": pin},
        {"reading_mm": form.mm("reading_digit"), "pin_mm": form.mm("pin_digit")},
    )
    working = [
        WorkingStep(
            "M = r + r cos(π/N) + √((p/2)² − (r sin(π/N))²) + p/2, solved for r",
            formatting.letters(unit, M=reading, p=pin) + f", N = {teeth}",
            f"D = 2 r = {formatting.fine_both(diameter, unit)}",
            "right triangle of pin, tip and axis; of two diameters that read the same the smaller, where the "
            "pin does not wedge",
        ),
        formatting.budget("D", form),
    ]
    figures = [formatting.length_figure("Diameter", diameter, unit, expanded)]
    return CalculatorResult(
        figures,
        draw_over_pin(diameter / 2, pin, teeth, unit),
        working,
        [
            ("M", "reading over the top tooth and the pin"),
            ("p", "diameter of the pin"),
            ("D", "diameter through the tips"),
        ],
        ["The pin must rest on the two tips, not on the flute.", _describe_plain_micrometer(diameter, teeth, unit)],
    )


def _describe_plain_micrometer(diameter: float, teeth: int, unit: Unit) -> str:
    low, high = (formatting.size(reading, unit) for reading in find_flat_anvil_range(diameter, teeth))
    return f"A plain micrometer cannot span it: turned between flat anvils it would read from {low} to {high}."
