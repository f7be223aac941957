"""The pages of the bench book, in the order of its contents."""
from collections.abc import Callable
from typing import Any, NamedTuple

from . import drop, flutes, lagging, rake, speed, strip
from .answers import Answer, BookForm


class Page(NamedTuple):
    title: str
    says: str
    form: type[BookForm]
    work_out: Callable[[Any], Answer]
    cautions: str = ""      # the template of its cautions


PAGES: dict[str, Page] = {
    "relief": Page("Relief by the drop", "An angle from an indicator's drop, or the drop of an angle.",
                   drop.DropForm, drop.work_out),
    "wheel-speed": Page("Wheel speed", "The spindle speed for a surface speed, within the wheel's marking.",
                        speed.SpeedForm, speed.work_out, "bench/book/_speed_cautions.html"),
    "zero-rake": Page("Zero rake", "The diameter at which a curved face has lost its rake.",
                      rake.RakeForm, rake.work_out),
    "witness": Page("Witness strip", "What a strip scraped off the marked land says of the relief.",
                    strip.StripForm, strip.work_out),
    "stylus": Page("Stylus height", "Where the stylus tip stands beside a cup wheel, with its lag on a helix.",
                   lagging.StylusForm, lagging.work_out, "bench/book/_stylus_cautions.html"),
    "odd-flute": Page("Odd flutes", "The diameter over an odd number of teeth, by a V-anvil or over a pin.",
                      flutes.FluteForm, flutes.work_out),
}
