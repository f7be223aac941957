"""The limits on a cutter's and a countersink's teeth that a line agreed, in words."""

from regrind.geometry.units import Unit, show_with_unit

from .models import Line

WORDS = {
    "narrowest_nm": "not narrower than {}",
    "gullet_limit_nm": "gullets {} deep or more",
    "reach_limit_nm": "reach below the neck {} or more",
    "thickness_limit_nm": "teeth {} thick or more",
}


def say_tooth_limits(line: Line, unit: Unit) -> list[str]:
    """Each limit that was agreed, in the reader's unit."""
    limits = ((words, getattr(line, name)) for name, words in WORDS.items())
    return [words.format(show_with_unit(nm, unit)) for words, nm in limits if nm]
