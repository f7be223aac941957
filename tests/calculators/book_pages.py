"""What the tests of the bench book share: its ways, asking a page, and reading it."""

import html
import re

from django.urls import reverse

from regrind.calculators.pages import PAGES

WAYS = [(what, way.code) for what, page in PAGES.items() for way in page.ways]
HOSTILE = [
    "1e999",
    "nan",
    "1e400",
    "-1",
    "0",
    "9" * 70,
    "<script>alert(1)</script>",
    "٣",
    "1/0",
    ".5 in; drop",
    "\u202e.5",
    "9" * 15,
    "-9",
    "100 mm",
    ".000001 mm",
    "1e-400",
    "  ",
    "=1+1",
]


def ask(hand, what, /, **typed):
    return hand.get(reverse("calculators:page", args=[what]), typed)


def shown(response) -> str:
    """The page as it is read: no tags, plain spaces."""
    text = html.unescape(re.sub(r"<[^>]*>", " ", response.content.decode()))
    return re.sub(r"[\s\u202f\u00a0]+", " ", text)


def form_of(what, code):
    return PAGES[what].way(code).form


def names_of(what, code):
    """Every field of a page, those for standard uncertainties too."""
    return form_of(what, code)(unit="mm").fields


def example(what, code, unit="mm", /, **changed):
    return {"by": code, "unit": unit, **form_of(what, code).example(unit), **changed}
