"""What a reading usually is: a lost zero or a moved point lies far outside, and is asked about before it is stored.

Pure but for `recent_depths`. Shares of the nominal diameter are common practice, from memory; a family's own readings
and the size that a tool left with last time, where there are any, say it closer.
"""

from collections.abc import Sequence

from regrind.record.models import Family, Line

from .models import Reading

# What is usual of a worn tool, as shares of its nominal diameter (common practice; from memory).
SHARES = {
    "diameter": (0.88, 1.02),
    "damage_depth": (0.002, 0.065),
    "tir": (0.0, 0.02),
    "shank_tir": (0.0, 0.02),
    "end_depth": (0.0, 0.5),
    "end_wear_land": (0.0, 0.15),
    "end_land": (0.001, 0.1),
    "reach": (0.0, 6.0),
    "flute_length": (0.5, 15.0),  # a jobber drill of 1/16 in has 7/8 in of flute (ASME B94.11M, from memory)
    "overall": (0.05, 80.0),
    "core": (0.3, 0.85),
    "land": (0.004, 0.25),
    "back": (0.001, 0.12),
    "tooth_width": (0.03, 0.6),
}
MARK_SHARES = {"depth": (0.0, 0.10), "wear_land": (0.0, 0.15), "to": (0.0, 6.0)}
NEVER_ODD_NM = 25_400  # a thou is never too much, on however small a tool
ENOUGH, LINES_BACK = 8, 20  # depths of the family before they count, and how many of its last lines are read
APART = 8  # of so many depths the deepest stands apart, of twice as many the least deep too
TIMES = 2  # a depth so many times deeper, or shallower, than any of the family's is odd
NEAR_SHARE = 0.02  # a followed tool comes back at most so much smaller than it left
# Of the length when new (common practice; from memory): a tool gets no longer, and few are ground to half of it. The
# narrow span, at the inspection and at the check: a question more costs a tap, one less lets a slip of the pen by.
OVERALL = (0.6, 1.02)


def find_plausible(name: str, size_nm: int, depths: Sequence[int] = (), last_nm: int | None = None) -> tuple[int, int]:
    """The least and the most that a reading usually is, in nm.

    name: the form's field, of SHARES or `mark_1_depth`. size_nm: the nominal diameter, above 0. depths: of the
    family's earlier damage. last_nm: the diameter that this very tool left with last time. KeyError for other names.
    """
    shares = SHARES.get(name) or MARK_SHARES[name.split("_", 2)[2]]
    low, high = round(shares[0] * size_nm), max(round(shares[1] * size_nm), NEVER_ODD_NM)
    if name == "diameter" and last_nm:
        return round(last_nm * (1 - NEAR_SHARE)), round(last_nm * (1 + NEAR_SHARE / 4))
    if name == "damage_depth" and len(depths) >= ENOUGH:
        least, most = _common(depths)
        return max(low, least // TIMES), max(min(high, most * TIMES), NEVER_ODD_NM)
    return low, high


def _common(depths: Sequence[int]) -> tuple[int, int]:
    """The least and the most without the few that stand apart: one deep tool must not hide every slip after it."""
    few = len(depths) // APART
    usual = sorted(depths)[few // 2 : len(depths) - few]
    return usual[0], usual[-1]


def find_plausible_overall(new_nm: int) -> tuple[int, int]:
    """What an overall length usually is, of a tool that was so long when new."""
    return round(OVERALL[0] * new_nm), round(OVERALL[1] * new_nm)


def recent_depths(family: Family) -> list[int]:
    """The depths of damage on a family's last lines: one query, however long its history."""
    lines = Line.objects.filter(family=family).order_by("-pk").values("pk")[:LINES_BACK]
    read = Reading.objects.filter(inspection__piece__line__in=lines, quantity="damage_depth", nm__gt=0)
    return [nm for nm in read.values_list("nm", flat=True) if nm]
