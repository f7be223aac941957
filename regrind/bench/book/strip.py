"""The page of the witness strip: by how much the wheel's plane changes the relief."""
import math

from django import forms

from regrind.geometry.setup import find_witness_change, find_witness_uncertainty
from regrind.shop.forms import LengthText

from ..drawings import svg
from .answers import Answer, BookForm, angle, degrees, in_unit


class StripForm(BookForm):
    example = {"feed": ".00025 in", "strip": ".010 in", "scraped_at": "heel", "feed_digit": ".00005 in",
               "strip_digit": ".001 in"}
    feed = LengthText(label="Feed after touching off", most_nm=50_000_000)
    strip = LengthText(label="Strip scraped bare", least_nm=1_000, most_nm=50_000_000)
    scraped_at = forms.ChoiceField(label="Scraped first at the", choices=[("heel", "heel"), ("edge", "edge")])
    feed_digit = LengthText(label="Feed reads to", required=False, most_nm=1_000_000)
    strip_digit = LengthText(label="Strip read to", required=False, most_nm=1_000_000)


def work_out(form: StripForm) -> Answer:
    """The change of relief with its uncertainty from what feed and strip were read to."""
    feed_mm, strip_mm, at = form.mm("feed"), form.mm("strip"), form.cleaned_data["scraped_at"]
    change_rad = find_witness_change(feed_mm, strip_mm, at)
    digits = [form.mm(name) / math.sqrt(12) if form.cleaned_data[name] else 0.0
              for name in ("feed_digit", "strip_digit")]
    sure = "Say what feed and strip were read to, and the page says how sure the angle is."
    if any(digits):
        sure = f"± {degrees(2 * find_witness_uncertainty(feed_mm, strip_mm, *digits))} (k = 2), from the digits alone"
    word = "Relief is increased by" if at == "heel" else "Relief is reduced by"
    parts = [svg.line((40, 60), (300, 60), "was"), svg.line((40, 60), (300, 130), "will"),
             svg.text((170, 48), f"strip {in_unit(strip_mm, form.unit)}", anchor="middle"),
             svg.text((308, 100), f"feed {in_unit(feed_mm, form.unit)}")]
    return Answer(angle(word, abs(change_rad)), sure, "Δα = asin(i / b)",
                  "Right triangle of feed and strip; the procedure is common practice.",
                  svg.wrap(430, 150, "The land, and the wheel's plane across the scraped strip, not to scale", parts))
