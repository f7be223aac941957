"""The page of the stylus: its height beside a cup wheel for a relief, with the lag on a helix."""
from django import forms

from regrind.geometry.lag import find_lag_distance, find_setup_uncertainty, set_stylus
from regrind.shop.forms import AngleText, LengthText

from ..drawings import svg
from .answers import Answer, BookForm, angle, degrees, in_unit, length

HANDS = [("agree", "agree"), ("differ", "differ")]


class StylusForm(BookForm):
    example = {"diameter": "6.35 mm", "relief": "12", "helix": "30", "gap": "1.5 mm", "hands": "agree",
               "wheel_width": "1.0 mm", "stylus_width": ".75 mm", "gap_digit": ".05 mm"}
    diameter = LengthText(label="Diameter as ground", least_nm=10_000, most_nm=500_000_000)
    relief = AngleText(label="Relief wanted", least=0, most=45)
    helix = AngleText(label="Helix", least=0, most=80)
    gap = LengthText(label="Gap from wheel to stylus", most_nm=100_000_000,
                     help_text="between the corners that face each other")
    hands = forms.ChoiceField(label="Hands of cut and helix", choices=HANDS)
    wheel_width = LengthText(label="Width of the wheel's face", required=False, most_nm=100_000_000,
                             help_text="needed where the hands differ")
    stylus_width = LengthText(label="Width of the stylus", required=False, most_nm=100_000_000,
                              help_text="needed where the hands differ")
    gap_digit = LengthText(label="Gap read to", required=False, most_nm=10_000_000)


def work_out(form: StylusForm) -> Answer:
    """The tip's height, what the distance's digit is worth, and what ignoring the lag would grind."""
    agree, radius_mm = form.cleaned_data["hands"] == "agree", form.mm("diameter") / 2
    wide = (0.0, 0.0) if agree else (form.mm("wheel_width"), form.mm("stylus_width"))
    distance_mm = find_lag_distance(form.mm("gap"), *wide, agree=agree)
    helix_rad = form.rad("helix")
    setup = set_stylus(radius_mm, form.rad("relief"), helix_rad, distance_mm, agree=agree)
    sure = "Say what the gap was read to, and the page says how sure the relief is."
    if form.cleaned_data["gap_digit"]:
        spread = find_setup_uncertainty(radius_mm, setup.tip_below_mm, helix_rad, distance_mm, agree=agree,
                                        lag_distance_u_mm=form.mm("gap_digit") / 12**0.5)
        sure = f"The relief is sure to ± {degrees(2 * spread.relief_rad)} (k = 2), from the gap's digit alone"
    side = "below" if setup.tip_below_mm >= 0 else "above"
    more = (angle("Relief if the lag were ignored", setup.relief_ignoring_lag_rad, 1), angle("Lag", setup.lag_rad))
    return Answer(length(f"Stylus tip {side} centre", abs(setup.tip_below_mm), form.unit), sure,
                  "h = r sin(α \u2212 e tan β / r), with + where the hands differ",
                  "The edge on its helix, cut by the wheel's plane; derived for this program.",
                  _draw(form, setup.tip_below_mm / radius_mm), more)


def _draw(form: StylusForm, share: float):
    tip = (200.0, 120 + 90 * share)
    return svg.wrap(420, 240, "Tool with its centre line, and the stylus tip's height, to scale", [
        svg.circle((120, 120), 90, "was"), svg.line((10, 120), (300, 120), "centre"), svg.line((200, 120), tip, "dim"),
        svg.path([tip, (300, tip[1]), (300, tip[1] + 12), (208, tip[1] + 12)], "will"),
        svg.text((308, tip[1] + 5), in_unit(abs(share) * form.mm("diameter") / 2, form.unit))])
