"""The diameter of a tool with an odd number of teeth: V-anvil, chord between teeth, over a pin, against a gauge pin."""
import math

from regrind.geometry.bridging import (
    find_chord,
    find_diameter_from_chord,
    find_diameter_over_pin,
    read_against_pin,
)
from regrind.geometry.errors import Refused
from regrind.geometry.gauging import find_flat_anvil_range, find_swept_diameter, find_vee_angle, find_vee_diameter
from regrind.geometry.units import Unit

from . import write
from .draw_odd import draw_chord, draw_over_pin, draw_teeth, draw_vee
from .fields import BookForm, digit, length, whole
from .sheet import Figure, Line, Sheet, Table, find_spread

MOST_READ = 9
FIELDS = {"height_mm": "height", "vee_mean_mm": "mean", "heights_mm": "tooth_1", "chord_mm": "chord", "method": "teeth",
          "reading_mm": "reading", "pin_diameter_mm": "pin", "readings_mm": "tooth_1", "diameter_mm": "chord"}
MEMORY = "right triangle of apex, axis and contact; the V’s faces are square to the radii of the two lower teeth"


class VeeForm(BookForm):
    teeth = whole("Number of teeth, odd", "3", least=3, most=99)
    height = length("Height, apex to top tooth", mm="15.000", inch=".5625", least_mm=0.1)
    height_digit = digit("Height read to")


class MeanForm(BookForm):
    mean = length("V-anvil reads, mean of all teeth", mm="10.0067", inch=".39397", least_mm=0.1,
                  help_text="Three teeth: any reading. Five and more: the mean, each tooth once on top.")
    mean_digit = digit("V-anvil read to")
    reading_digit = digit("Indicator read to")


class ChordForm(BookForm):
    teeth = whole("Number of teeth", "3", least=2, most=99)
    steps = whole("From one tooth to the", "1", least=1, most=98, help_text="1: the next tooth; 2: the one after it.")
    chord = length("Distance over the two tips", mm="8.660", inch=".3410", least_mm=0.05)
    chord_digit = digit("Distance read to")


class PinForm(BookForm):
    teeth = whole("Number of teeth, odd", "5", least=3, most=99)
    pin = length("Diameter of the pin", mm="8.000", inch=".3150", least_mm=0.05)
    reading = length("Reading over tooth and pin", mm="15.7585", inch=".62041", least_mm=0.1)
    reading_digit = digit("Reading read to")
    pin_digit = digit("Pin known to")


class GaugePinForm(BookForm):
    pin = length("Diameter of the gauge pin", mm="10.000", inch=".3750", least_mm=0.1)
    pin_digit = digit("Pin known to")
    reading_digit = digit("Indicator read to")


def _add_teeth(form: type[BookForm], mm: list[str], inch: list[str], low_mm: float) -> None:
    """Nine places for readings, as many filled as there are teeth."""
    for k in range(MOST_READ):
        shown = {"mm": mm[k] if k < len(mm) else "", "in": inch[k] if k < len(inch) else ""}
        field = length(f"Tooth {k + 1}", mm=shown["mm"], inch=shown["in"], least_mm=low_mm, needed=False,
                       most_nm=250_000_000)
        form.base_fields[f"tooth_{k + 1}"] = field


_add_teeth(MeanForm, ["0", "-0.010", "-0.010"], ["0", "-.0004", "-.0004"], -50)
_add_teeth(GaugePinForm, ["0.012", "0.010", "0.007"], [".0005", ".0004", ".0003"], -250)


def by_vee(form: VeeForm) -> Sheet:
    """The diameter from the height over a V of the angle that fits the number of teeth."""
    teeth, height, unit = form.cleaned_data["teeth"], form.mm("height"), form.unit
    vee, found = find_vee_angle(teeth), find_vee_diameter(height, teeth)
    expanded = find_spread(lambda height_mm: find_vee_diameter(height_mm, teeth), {"height_mm": height},
                           {"height_mm": form.mm("height_digit")})
    figures = [write.length_figure("Diameter", found, unit, expanded), Figure("V-anvil’s angle", write.degrees(vee))]
    working = [Line("2φ = 180° − 360°/N", f"N = {teeth}", f"2φ = {write.degrees(vee)}", MEMORY),
               Line("D = 2 H / (1 + 1/sin φ)", write.letters(unit, H=height) + f", φ = {write.degrees(vee / 2)}",
                    f"D = {write.fine_both(found, unit)}", "the same triangle; teeth evenly spaced and alike"),
               write.budget("D", form)]
    return Sheet(figures, draw_vee(found / 2, teeth, unit), working,
                 [("H", "height from the V’s apex to the top of the tooth"), ("D", "diameter through the tips"),
                  ("2φ", "included angle of the V")], [_plain_says(found, teeth, unit)])


def by_mean(form: MeanForm) -> Sheet:
    """What the highest tooth sweeps, from a V-anvil's mean and an indicator over each tooth."""
    mean, unit = form.mm("mean"), form.unit
    heights = _readings(form)
    if len(heights) % 2 == 0 or len(heights) < 3:
        raise Refused(f"tooth_{max(1, len(heights))}",
                      f"is the last of {len(heights)} readings; a V-anvil takes an odd number, 3 to {MOST_READ}")
    swept = find_swept_diameter(mean, heights)
    names = [f"h{k}" for k in range(len(heights))]
    expanded = find_spread(lambda mean_mm, **h: mean_mm - 2 * math.fsum(h.values()) / len(h),
                           {"mean_mm": mean, **dict(zip(names, heights, strict=True))},
                           {"mean_mm": form.mm("mean_digit"), **dict.fromkeys(names, form.mm("reading_digit"))})
    radii = [swept / 2 + h for h in heights]
    figures = [write.length_figure("Diameter swept", swept, unit, expanded),
               _runout(heights, form)]
    numbers = write.letters(unit, D_V=mean, **{"mean h": math.fsum(heights) / len(heights)})
    working = [Line("D_swept = D_V − 2 mean(h)", numbers,
                    f"D_swept = {write.fine_both(swept, unit)}",
                    "the mean reading is twice the mean radius (summed over the V’s three contacts)"),
               write.budget("D_swept", form)]
    return Sheet(figures, draw_teeth(radii, mean / 2, "mean circle, as the V-anvil reads", unit), working, (),
                 ["Heights count from the highest tooth: one of them is 0, the others are below it."],
                 _tooth_table(radii, unit))


def by_chord(form: ChordForm) -> Sheet:
    """The diameter from the distance between two tips."""
    teeth, steps, chord, unit = form.cleaned_data["teeth"], form.cleaned_data["steps"], form.mm("chord"), form.unit
    found = find_diameter_from_chord(chord, steps, teeth)
    expanded = find_spread(lambda chord_mm: find_diameter_from_chord(chord_mm, steps, teeth), {"chord_mm": chord},
                           {"chord_mm": form.mm("chord_digit")})
    rows = [[f"{k}", write.fine_both(find_chord(found, k, teeth), unit)] for k in range(1, min(teeth // 2, 12) + 1)]
    working = [Line("D = c / sin(π k / N)", write.letters(unit, c=chord) + f", k = {steps}, N = {teeth}",
                    f"D = {write.fine_both(found, unit)}", "chord of a circle; teeth evenly spaced and alike")]
    figures = [write.length_figure("Diameter", found, unit, expanded)]
    return Sheet(figures, draw_chord(found / 2, steps, teeth, unit), [*working, write.budget("D", form)],
                 [("c", "distance between the two tips"), ("D", "diameter through the tips"),
                  ("k", "teeth from one tip to the other")], (),
                 Table(["Teeth apart", "Distance between tips"], rows, "All chords of this tool"))


def by_pin(form: PinForm) -> Sheet:
    """The diameter from a reading over one tooth and a pin that bridges the two opposite."""
    teeth, pin, reading, unit = form.cleaned_data["teeth"], form.mm("pin"), form.mm("reading"), form.unit
    found = find_diameter_over_pin(reading, pin, teeth)
    expanded = find_spread(
        lambda reading_mm, pin_mm: find_diameter_over_pin(reading_mm, pin_mm, teeth),
        {"reading_mm": reading, "pin_mm": pin},
        {"reading_mm": form.mm("reading_digit"), "pin_mm": form.mm("pin_digit")})
    working = [Line("M = r + r cos(π/N) + √((p/2)² − (r sin(π/N))²) + p/2, solved for r",
                    write.letters(unit, M=reading, p=pin) + f", N = {teeth}",
                    f"D = 2 r = {write.fine_both(found, unit)}",
                    "right triangle of pin, tip and axis; of two diameters that read the same the smaller, where the "
                    "pin does not wedge"), write.budget("D", form)]
    figures = [write.length_figure("Diameter", found, unit, expanded)]
    return Sheet(figures, draw_over_pin(found / 2, pin, teeth, unit), working,
                 [("M", "reading over the top tooth and the pin"), ("p", "diameter of the pin"),
                  ("D", "diameter through the tips")],
                 ["The pin must rest on the two tips, not on the flute.", _plain_says(found, teeth, unit)])


def by_gauge_pin(form: GaugePinForm) -> Sheet:
    """Each tooth's radius from an indicator zeroed on a gauge pin; any number of teeth, any index."""
    pin, unit = form.mm("pin"), form.unit
    readings = _readings(form)
    if len(readings) < 2:
        raise Refused("tooth_2", f"is needed: a reading per tooth, 2 to {MOST_READ}")
    radii = read_against_pin(pin, readings)
    expanded = find_spread(lambda pin_mm, reading_mm: pin_mm + 2 * reading_mm,
                           {"pin_mm": pin, "reading_mm": max(readings)},
                           {"pin_mm": form.mm("pin_digit"), "reading_mm": form.mm("reading_digit")})
    figures = [write.length_figure("Diameter swept", 2 * max(radii), unit, expanded),
               _runout(readings, form)]
    working = [Line("r_i = p/2 + reading; D_swept = 2 max r_i", write.letters(unit, p=pin, highest=max(readings)),
                    f"D_swept = {write.fine_both(2 * max(radii), unit)}", "sum of pin radius and reading; any index"),
               write.budget("D_swept", form)]
    return Sheet(figures, draw_teeth(radii, pin / 2, "gauge pin", unit), working, (),
                 ["Zero the indicator on the pin, held on the tool’s axis; above the pin is positive."],
                 _tooth_table(radii, unit))


def _readings(form: BookForm) -> list[float]:
    """The readings of teeth 1, 2, …; one left out between two others is refused."""
    given = [form.mm_if(f"tooth_{k + 1}") for k in range(MOST_READ)]
    count = max((k + 1 for k, value in enumerate(given) if value is not None), default=0)
    for k in range(count):
        if given[k] is None:
            raise Refused(f"tooth_{k + 1}", f"is missing: tooth {count} has a reading")
    return [value for value in given[:count] if value is not None]


def _runout(readings: list[float], form: BookForm) -> Figure:
    """Highest less lowest; two readings of the indicator make it."""
    expanded = find_spread(lambda high, low: high - low, {"high": max(readings), "low": min(readings)},
                           dict.fromkeys(("high", "low"), form.mm("reading_digit")))
    return write.length_figure("Runout, highest to lowest", max(readings) - min(readings), form.unit, expanded)


def _tooth_table(radii: list[float], unit: Unit) -> Table:
    most = max(radii)
    rows = [[f"{k}", write.fine(r, unit), write.fine(r - most, unit)] for k, r in enumerate(radii, 1)]
    return Table(["Tooth", "Radius", "Below the highest"], rows, "Tooth by tooth")


def _plain_says(diameter: float, teeth: int, unit: Unit) -> str:
    low, high = (write.size(reading, unit) for reading in find_flat_anvil_range(diameter, teeth))
    return f"A plain micrometer cannot span it: turned between flat anvils it would read from {low} to {high}."
