"""The page of wheel speed: the spindle speed for a surface speed, never above what the wheel is marked with."""
from django import forms

from regrind.geometry.errors import Refused
from regrind.geometry.wheels import find_marked_rpm, find_rpm, find_surface_speed
from regrind.shop.forms import LengthText

from ..drawings import svg
from .answers import Answer, BookForm, Figure, in_unit


class SpeedForm(BookForm):
    example = {"wheel_diameter": "100 mm", "surface_speed": "18", "marked_rpm": "4000"}
    wheel_diameter = LengthText(label="Wheel diameter now", most_nm=1_000_000_000)
    diameter_new = LengthText(label="Wheel diameter as new", required=False, most_nm=1_000_000_000,
                              help_text="where the wheel is marked in m/s and is worn")
    surface_speed = forms.FloatField(label="Surface speed wanted, m/s", min_value=0.1, max_value=200)
    marked_rpm = forms.FloatField(label="Marked maximum, rev/min", required=False, min_value=1,
                                  max_value=200_000)
    marked_m_s = forms.FloatField(label="Marked maximum, m/s", required=False, min_value=0.1, max_value=200)

    def refuse(self, refused):
        """`marked_m_s` keeps its unit in its name."""
        if refused.field == "marked_m_s":
            self.add_error("marked_m_s", f"This {refused.message}.")
        else:
            super().refuse(refused)


def work_out(form: SpeedForm) -> Answer:
    """The spindle speed, refused where the wheel's marking does not allow it."""
    data, now_mm = form.cleaned_data, form.mm("wheel_diameter")
    new_mm = _new_mm(form, now_mm)
    marked = find_marked_rpm(new_mm, marked_rpm=data["marked_rpm"], marked_m_s=data["marked_m_s"])
    rpm = find_rpm(now_mm, data["surface_speed"], marked)
    more = (Figure("Marked maximum", f"{int(marked)}\u202frev/min"),
            Figure("Surface speed at the maximum", f"{find_surface_speed(now_mm, marked):.1f}\u202fm/s"))
    parts = [svg.circle((110, 110), 80, "will"), svg.circle((110, 110), 10, "was"),
             svg.line((30, 110), (190, 110), "dim"), svg.text((110, 215), in_unit(now_mm, form.unit), anchor="middle")]
    return Answer(Figure("Spindle speed", f"{int(rpm)}\u202frev/min"),
                  "Rounded down. As sure as the diameter: one percent of it is one percent of the speed.",
                  "n = v / (π D)", "Speed on a circle; the marked maximum rules (29 CFR 1910.243(c)(5)).",
                  svg.wrap(220, 230, "The wheel with its diameter", parts), more)


def _new_mm(form: SpeedForm, now_mm: float) -> float:
    """A marking in m/s holds for the wheel as new: without that diameter a worn wheel would be given more."""
    if form.cleaned_data["diameter_new"] is None:
        if form.cleaned_data["marked_m_s"] is not None:
            raise Refused("diameter_new_mm", "is needed where the marking is in m/s")
        return now_mm
    if form.mm("diameter_new") < now_mm:
        raise Refused("diameter_new_mm", f"must be at least the diameter now, {in_unit(now_mm, form.unit)}")
    return form.mm("diameter_new")
