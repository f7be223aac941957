"""What a strip scraped off the marked land says of the wheel's plane, and how much further to feed."""

from regrind.geometry.bibliography import PRACTICE
from regrind.geometry.errors import Refused
from regrind.geometry.setup import find_witness_change

from . import formatting
from .draw_witness import draw_witness
from .fields import CalculatorForm, angle, choice, digit, length
from .result import CalculatorResult, Figure, WorkingStep, find_expanded

FIELDS = {"feed_mm": "feed", "strip_mm": "strip", "scraped_at": "scraped_at"}


_NOTES = [
    "Scraped at the heel first: the relief is being increased. At the edge first: it is being reduced.",
    "Common practice: a feed of a quarter of a thousandth that scrapes about half of a small tool’s land means "
    "the relief changes by a degree or two.",
]


class WitnessForm(CalculatorForm):
    feed = length("Feed after touching off", mm="0.006", inch=".00025", least_mm=0, most_nm=5_000_000)
    strip = length("Strip scraped bare", mm="0.250", inch=".0100", most_nm=50_000_000)
    scraped_at = choice("Scraped first at the", [("heel", "heel"), ("edge", "edge")], "heel")
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


def read_strip(form: WitnessForm) -> CalculatorResult:
    """By how much the wheel's plane differs from the land, and the feed that scrapes the whole land."""
    feed, strip, scraped_at = form.mm("feed"), form.mm("strip"), form.cleaned_data["scraped_at"]
    land = form.mm_if("land")
    if land is not None and land < strip:
        raise Refused("land", f"must be at least the strip, {strip:.6g} mm")
    change, expanded = find_witness_change(feed, strip, scraped_at), _find_change_expanded(form)
    label = "Relief is increased by" if scraped_at == "heel" else "Relief is reduced by"
    figures = [formatting.angle_figure(label, abs(change), expanded)]
    working = [_explain_change(form, change), formatting.budget("Δα", form)]
    if form.rad_if("relief") is not None:
        _add_relief(form, change, expanded, figures, working)
    if land:
        _add_rest(form, figures, working)
    return CalculatorResult(
        figures,
        draw_witness(feed, strip, land or strip, scraped_at, form.unit),
        working,
        [
            ("i", "feed after the wheel first touched the marked land"),
            ("b", "width of the strip scraped bare"),
            ("Δα", "angle between the land as it is and the wheel’s plane"),
        ],
        _NOTES,
    )


def _find_change_expanded(form: WitnessForm) -> float:
    scraped_at = form.cleaned_data["scraped_at"]
    return find_expanded(
        lambda feed_mm, strip_mm: find_witness_change(feed_mm, strip_mm, scraped_at),
        {"feed_mm": form.mm("feed"), "strip_mm": form.mm("strip")},
        {"feed_mm": form.mm("feed_digit"), "strip_mm": form.mm("strip_digit")},
    )


def _explain_change(form: WitnessForm, change: float) -> WorkingStep:
    return WorkingStep(
        "Δα = asin(i / b)",
        formatting.letters(form.unit, i=form.mm("feed"), b=form.mm("strip")),
        f"Δα = {formatting.degrees(change)}",
        "right triangle of feed and strip",
        PRACTICE,
    )


def _add_relief(
    form: WitnessForm, change: float, expanded: float, figures: list[Figure], working: list[WorkingStep]
) -> None:
    before, after = form.rad("relief"), formatting.degrees(form.rad("relief") + change)
    figures.append(Figure("New relief", after, "", formatting.sure_angle(expanded)))
    numbers = f"α = {formatting.degrees(before)}, Δα = {formatting.degrees(change)}"
    working.append(WorkingStep("α′ = α + Δα", numbers, f"α′ = {after}", "sum of the two"))


def _add_rest(form: WitnessForm, figures: list[Figure], working: list[WorkingStep]) -> None:
    """How much further the feed goes until the whole land is scraped: similar triangles."""
    feed, strip, land, unit = form.mm("feed"), form.mm("strip"), form.mm("land"), form.unit

    def find(feed_mm: float, strip_mm: float) -> float:
        return feed_mm * (land - strip_mm) / strip_mm

    further = find(feed, strip)
    expanded = find_expanded(
        find,
        {"feed_mm": feed, "strip_mm": strip},
        {"feed_mm": form.mm("feed_digit"), "strip_mm": form.mm("strip_digit")},
    )
    figures.append(formatting.length_figure("Feed on until all of the land is scraped", further, unit, expanded))
    working.append(
        WorkingStep(
            "i′ = i (L − b) / b",
            formatting.letters(unit, i=feed, L=land, b=strip),
            f"i′ = {formatting.fine_both(further, unit)}",
            "similar triangles on a flat land",
        )
    )
