"""The pictures of a family's page, each with its table: from the roll-ups what counts everything, from the newest
pieces what has to be drawn one by one."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from urllib.parse import urlencode

from regrind.geometry.units import Unit, show
from regrind.record.figures import TallyName

from .charts.bars import draw_bars
from .charts.frame import Chart
from .charts.life import draw_family_life
from .charts.points import Point, draw_points
from .charts.spread import draw_spread
from .intervals import share_interval
from .piece_facts import Fact, Facts
from .rows import Row
from .sums import Tallied
from .words import say_money, say_share

NO_DEPTH = (
    "A depth is read on end mills ground on their sides or end. The wear of other tools is read in other ways and is "
    "not counted here, unless it was said in words."
)
WEAR_BIN_NM = 50_000  # what the roll-ups keep: the start of each bin of damage depth
MOST_POINTS = 5
IN_WORDS = (
    ("nothing", "nothing"),
    ("corners", "corners"),
    ("unmeasurable", "cannot be measured"),
)  # damage that the inspection gives in words, without a depth
MOST_FOLLOWED = 12


def draw_all(
    row: Row,
    facts: Facts,
    tallies: Mapping[TallyName, Sequence[Tallied]],
    unit: Unit,
    limits: Sequence[tuple[int, str]],
    link: str,
) -> list[Chart]:
    """Every picture of one family; of the diameter where it is ground. tallies: by name. link: the page's own address
    and question."""
    of_diameter = [life(facts, limits, unit), stock(tallies, unit, link)] if row.loses_diameter else []
    return [
        *of_diameter,
        wear(tallies.get("wear", ()), unit, link),
        reasons(tallies.get("why", ()), row, link),
        complaints(tallies.get("complaint", ()), row, link),
        earnings(row, facts, unit),
    ]


def life(facts: Facts, limits: Sequence[tuple[int, str]], unit: Unit) -> Chart:
    sizes: dict[int, list[int]] = defaultdict(list)
    tools: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for fact in reversed(facts.pieces):
        if fact.left_nm is not None and fact.before is not None:
            sizes[fact.before + 1].append(fact.left_nm)
            if fact.tool:
                tools[fact.tool].append((fact.before + 1, fact.left_nm))
    followed = [visits for visits in list(tools.values())[-MOST_FOLLOWED:] if len(visits) > 1]
    threads = f" Thin lines: {len(followed)} followed tool{'s' * (len(followed) > 1)}." if followed else ""
    return draw_family_life(
        sizes,
        followed,
        limits,
        unit,
        f"The dot is the median; the line goes from the smallest to the largest.{threads}{_cut(facts)}",
    )


def stock(tallies: Mapping[TallyName, Sequence[Tallied]], unit: Unit, link: str) -> Chart:
    return draw_spread(
        {int(line.key): line.n for line in tallies.get("stock", ())},
        {int(line.key): line.n for line in tallies.get("predicted", ())},
        unit,
        lambda start, end: _more(link, took=f"{start}..{end}"),
    )


def wear(lines: Sequence[Tallied], unit: Unit, link: str) -> Chart:
    """The share of good regrinds, by the depth of damage when received."""
    title = "Good regrinds, by damage when received"
    points = [
        _share_point(words, line.n, line.good, _more(link, wear=name))
        for name, words in IN_WORDS
        for line in lines
        if line.key == name
    ]
    deep = {int(line.key): (line.n, line.good) for line in lines if line.key.isdigit()}
    for start, end, n, good in merge_bins(deep):
        words = f"{show(start, unit)}–{show(end, unit)}"
        points.append(_share_point(words, n, good, _more(link, wear=f"{start}-{end}")))
    if not points:
        return Chart(title, None, empty=f"No finished piece with a measured depth of damage yet. {NO_DEPTH}")
    picture = draw_points(title, points, say=say_share, across=f"depth of damage, {unit}", top=1.0)
    rows = tuple((p.words, str(p.n), say_share(p.value), f"{say_share(p.low)} – {say_share(p.high)}") for p in points)
    return Chart(
        title,
        picture,
        (f"depth, {unit}", "finished", "good", "95 % interval"),
        rows,
        note=f"Good: reground, and not returned as a complaint. The line is the 95 % interval. {NO_DEPTH}",
        links=tuple(p.link for p in points),
    )


def _share_point(words: str, n: int, good: int, link: str = "") -> Point:
    within = share_interval(good, n)
    return Point(words, good / n, n, within.low, within.high, link)


def merge_bins(counts: Mapping[int, tuple[int, int]]) -> list[tuple[int, int, int, int]]:
    """(start, end, n, good) of at most MOST_POINTS bins side by side, about equally full."""
    whole, bins = sum(n for n, _ in counts.values()), []
    start, n, good = None, 0, 0
    for value, (more, more_good) in sorted(counts.items()):
        start, n, good = (value if start is None else start), n + more, good + more_good
        if n * MOST_POINTS >= whole or len(counts) <= MOST_POINTS:
            bins.append((start, value + WEAR_BIN_NM, n, good))
            start, n, good = None, 0, 0
    return [*bins, (start, max(counts) + WEAR_BIN_NM, n, good)] if start is not None else bins


def reasons(lines: Sequence[Tallied], row: Row, link: str) -> Chart:
    return draw_bars(
        "Reasons for not regrinding",
        [(line.key, line.n) for line in lines],
        row.sums.decided,
        noun="reason",
        empty="Every finished piece of this family was reground.",
        links={line.key: _more(link, reason=line.key) for line in lines},
    )


def complaints(lines: Sequence[Tallied], row: Row, link: str) -> Chart:
    return draw_bars(
        "Complaints",
        [(line.key, line.n) for line in lines],
        row.sums.ground,
        noun="complaint",
        empty="No complaint about this family.",
        links={line.key: _more(link, complaint=line.key) for line in lines},
    )


def earnings(row: Row, facts: Facts, unit: Unit) -> Chart:
    """What a bench minute earned, by the diameter of the piece when received."""
    title = "Earned per bench minute, by diameter when received"
    earning = [f for f in facts.pieces if f.earning and f.came_nm is not None]
    if not any(f.result == "ground" for f in earning):
        return Chart(title, None, empty="No ground piece with a diameter, minutes and a price yet.")
    rates = row.rates
    wheel = (rates.wheel_minor or 0) if rates else 0
    points = []
    for group in by_size(earning):
        low, high = min(f.came_nm or 0 for f in group), max(f.came_nm or 0 for f in group)
        ground = [f for f in group if f.result == "ground"]
        brought = sum(0 if f.again else f.price_minor or 0 for f in ground) - wheel * len(ground)
        words = show(low, unit) if low == high else f"{show(low, unit)}–{show(high, unit)}"
        points.append(Point(words, brought / sum(f.hundredths for f in group), len(group)))
    level = [(rates.hourly_minor / 6000, "the hourly rate")] if rates and rates.hourly_minor else []
    picture = draw_points(title, points, say=say_major, across=f"diameter when received, {unit}", levels=level)
    rows = tuple((p.words, str(p.n), say_major(p.value)) for p in points)
    return Chart(
        title,
        picture,
        (f"diameter, {unit}", "pieces", "per minute"),
        rows,
        note=f"Price less today's wheel cost over bench minutes.{_cut(facts)}",
    )


def say_major(value: float) -> str:
    return say_money(100 * value)


def by_size(facts: Sequence[Fact], most: int = 5) -> list[list[Fact]]:
    """Groups of pieces of about equal number, by the diameter they came with; one diameter is never parted."""
    ordered = sorted(facts, key=lambda f: f.came_nm or 0)
    groups: list[list[Fact]] = []
    for fact in ordered:
        full = groups and len(groups[-1]) * most >= len(ordered) and fact.came_nm != groups[-1][-1].came_nm
        if not groups or full:
            groups.append([])
        groups[-1].append(fact)
    return groups


def _more(link: str, **more: str) -> str:
    return f"{link}{'&' if '=' in link else ''}{urlencode(more)}#pieces"


def _cut(facts: Facts) -> str:
    return f" Drawn from the newest {len(facts.pieces)} pieces." if facts.cut else ""
