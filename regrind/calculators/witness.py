"""What a strip scraped off the marked land says of the wheel's plane, and how much further to feed."""

from regrind.geometry.errors import Refused
from regrind.geometry.setup import find_witness_change

from . import formatting
from .draw_witness import draw_witness
from .fields import BookForm, angle, choice, digit, length
from .result import Figure, Line, Sheet, find_spread

FIELDS = {"feed_mm": "feed", "strip_mm": "strip", "scraped_at": "at"}


class WitnessForm(BookForm):
    feed = length("Feed after touching off", mm="0.006", inch=".00025", least_mm=0, most_nm=5_000_000)
    strip = length("Strip scraped bare", mm="0.250", inch=".0100", most_nm=50_000_000)
    at = choice("Scraped first at the", [("heel", "heel"), ("edge", "edge")], "heel")
    land = length(
        "Whole land",
        mm="0.500",
        inch=".0200",
        needed=False,
        most_nm=50_000_000,
        help_text="To say how much feed takes all of it.",
    )
    relief = angle("Relief as it is", "12", needed=False)
    feed_digit = digit("Feed read to", mm="0.001", inch=".00005")
    strip_digit = digit("Strip read to", mm="0.02", inch=".001")


def read_strip(form: WitnessForm) -> Sheet:
    """By how much the wheel's plane differs from the land, and the feed that scrapes the whole land."""
    feed, strip, at, unit = form.mm("feed"), form.mm("strip"), form.cleaned_data["at"], form.unit
    land = form.mm_if("land")
    if land is not None and land < strip:
        raise Refused("land", f"must be at least the strip, {strip:.6g} mm")
    change = find_witness_change(feed, strip, at)
    expanded = find_spread(
        lambda feed_mm, strip_mm: find_witness_change(feed_mm, strip_mm, at),
        {"feed_mm": feed, "strip_mm": strip},
        {"feed_mm": form.mm("feed_digit"), "strip_mm": form.mm("strip_digit")},
    )
    word = "Relief is increased by" if at == "heel" else "Relief is reduced by"
    figures = [formatting.angle_figure(word, abs(change), expanded)]
    working = [
        Line(
            "Δα = asin(i / b)",
            formatting.letters(unit, i=feed, b=strip),
            f"Δα = {formatting.degrees(change, 2)}",
            "right triangle of feed and strip; common practice",
        ),
        formatting.budget("Δα", form),
    ]
    relief = form.rad_if("relief")
    if relief is not None:
        figures.append(Figure("Relief then", formatting.degrees(relief + change), "", formatting.sure_angle(expanded)))
        working.append(
            Line(
                "α′ = α + Δα",
                f"α = {formatting.degrees(relief)}, Δα = {formatting.degrees(change)}",
                f"α′ = {formatting.degrees(relief + change)}",
                "sum of the two",
            )
        )
    if land:
        _add_rest(form, figures, working)
    return Sheet(
        figures,
        draw_witness(feed, strip, land or strip, at, unit),
        working,
        [
            ("i", "feed after the wheel first touched the marked land"),
            ("b", "width of the strip scraped bare"),
            ("Δα", "angle between the land as it is and the wheel’s plane"),
        ],
        [
            "Scraped at the heel first: the relief is being increased. At the edge first: it is being reduced.",
            "Common practice: a feed of a quarter of a thousandth that scrapes about half of a small tool’s land "
            "means the relief changes by a degree or two.",
        ],
    )


def _add_rest(form: WitnessForm, figures: list[Figure], working: list[Line]) -> None:
    """How much further the feed goes until the whole land is scraped: similar triangles."""
    feed, strip, land, unit = form.mm("feed"), form.mm("strip"), form.mm("land"), form.unit

    def find(feed_mm: float, strip_mm: float) -> float:
        return feed_mm * (land - strip_mm) / strip_mm

    further = find(feed, strip)
    expanded = find_spread(
        find,
        {"feed_mm": feed, "strip_mm": strip},
        {"feed_mm": form.mm("feed_digit"), "strip_mm": form.mm("strip_digit")},
    )
    figures.append(formatting.length_figure("Feed on until all of the land is scraped", further, unit, expanded))
    working.append(
        Line(
            "i′ = i (L − b) / b",
            formatting.letters(unit, i=feed, L=land, b=strip),
            f"i′ = {formatting.fine_both(further, unit)}",
            "similar triangles on a flat land",
        )
    )
