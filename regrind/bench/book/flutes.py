"""The page of odd flutes: the diameter over an odd number of teeth, by a V-anvil's height or over a pin."""
import math

from django import forms

from regrind.geometry.bridging import find_diameter_over_pin
from regrind.geometry.errors import Refused
from regrind.geometry.gauging import find_flat_anvil_range, find_vee_diameter
from regrind.shop.forms import LengthText

from ..drawings import svg
from .answers import Answer, BookForm, in_unit, length

TEETH = [(n, str(n)) for n in (3, 5, 7, 9, 11)]
FORMULAS = {"vee": "D = 2 h / (1 + 1 / sin φ), φ = 90° \u2212 180° / N",
            "pin": "m = r (1 + cos(π/N)) + √((p/2)² \u2212 (r sin(π/N))²) + p/2, solved for r"}


class FluteForm(BookForm):
    example = {"teeth": "5", "how": "pin", "reading": "15.7585 mm", "pin": "8.0 mm", "digit": ".001 mm"}
    teeth = forms.TypedChoiceField(label="Teeth", choices=TEETH, coerce=int)
    how = forms.ChoiceField(label="Measured", choices=[("vee", "V-anvil, apex to top"), ("pin", "over a pin")])
    reading = LengthText(label="Reading", least_nm=10_000, most_nm=1_000_000_000)
    pin = LengthText(label="Pin diameter", required=False, least_nm=10_000, most_nm=500_000_000)
    digit = LengthText(label="Reads to", required=False, most_nm=1_000_000)


def work_out(form: FluteForm) -> Answer:
    """The diameter, with half of what one digit of the reading changes."""
    reading_mm, how, teeth = form.mm("reading"), form.cleaned_data["how"], form.cleaned_data["teeth"]
    diameter_mm = _diameter(form, reading_mm)
    sure = "Say what the reading was read to, and the page says what a digit is worth."
    if form.cleaned_data["digit"]:
        low_mm = _diameter(form, reading_mm - form.mm("digit"))
        sure = f"Half a digit is worth ± {in_unit((diameter_mm - low_mm) / 2, form.unit)}; equal teeth are assumed"
    least_mm, most_mm = find_flat_anvil_range(diameter_mm, teeth)
    more = (length("A plain micrometer would read from", least_mm, form.unit), length("to", most_mm, form.unit))
    return Answer(length("Diameter over the edges", diameter_mm, form.unit), sure, FORMULAS[how],
                  "Right triangles of axis, tips and anvil or pin; derived for this program.", _draw(teeth), more)


def _diameter(form: FluteForm, reading_mm: float) -> float:
    teeth = form.cleaned_data["teeth"]
    try:
        if form.cleaned_data["how"] == "vee":
            return find_vee_diameter(reading_mm, teeth)
        return find_diameter_over_pin(reading_mm, form.mm("pin"), teeth)
    except Refused as refused:
        field = {"pin_diameter_mm": "pin", "height_mm": "reading"}.get(refused.field, refused.field)
        raise Refused(field, refused.message) from refused


def _draw(teeth: int):
    turn = math.tau / teeth
    tips = [svg.around((120, 120), 90, k * turn) for k in range(teeth)]
    return svg.wrap(240, 240, f"{teeth} tips on their circle: none stands opposite another", [
        svg.circle((120, 120), 90, "centre"), *[svg.line((120, 120), tip, "will") for tip in tips]])
