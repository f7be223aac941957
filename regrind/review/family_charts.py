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

WEAR_BIN_NM = 50_000  # what the roll-ups keep: the start of each bin of damage depth
MOST_POINTS = 5
SEEN = (("nothing", "nothing"), ("corners", "corners"))  # what the inspection says in place of a depth
MOST_FOLLOWED = 12


def draw_all(
    row: Row,
    facts: Facts,
    told: Mapping[TallyName, Sequence[Tallied]],
    unit: Unit,
    limits: Sequence[tuple[int, str]],
    link: str,
) -> list[Chart]:
    """Every picture of one family. told: its tallies by what they are of. link: the page's own address and question."""
    return [
        life(facts, limits, unit),
        stock(told, unit, link),
        wear(told.get("wear", ()), unit, link),
        reasons(told.get("why", ()), row, link),
        complaints(told.get("complaint", ()), row, link),
        earnings(row, facts, unit),
    ]


def life(facts: Facts, limits: Sequence[tuple[int, str]], unit: Unit) -> Chart:
    left: dict[int, list[int]] = defaultdict(list)
    tools: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for fact in reversed(facts.pieces):
        if fact.left_nm is not None and fact.before is not None:
            left[fact.before + 1].append(fact.left_nm)
            if fact.tool:
                tools[fact.tool].append((fact.before + 1, fact.left_nm))
    followed = [visits for visits in list(tools.values())[-MOST_FOLLOWED:] if len(visits) > 1]
    threads = f" Thin lines: {len(followed)} followed tool{'s' * (len(followed) > 1)}." if followed else ""
    return draw_family_life(
        left,
        followed,
        limits,
        unit,
        f"The dot is the middle one, the whisker reaches from the smallest to the largest.{threads}{_cut(facts)}",
    )


def stock(told: Mapping[TallyName, Sequence[Tallied]], unit: Unit, link: str) -> Chart:
    return draw_spread(
        {int(line.of): line.n for line in told.get("stock", ())},
        {int(line.of): line.n for line in told.get("predicted", ())},
        unit,
        lambda start, end: _more(link, took=f"{start}..{end}"),
    )


def wear(lines: Sequence[Tallied], unit: Unit, link: str) -> Chart:
    """The share that came good and stayed good, by how deep the damage was when it came."""
    title = "What came good, by wear at arrival"
    points = [
        _share_point(words, line.n, line.good, _more(link, wear=name))
        for name, words in SEEN
        for line in lines
        if line.of == name
    ]
    deep = {int(line.of): (line.n, line.good) for line in lines if line.of.isdigit()}
    for start, end, n, good in merge_bins(deep):
        words = f"{show(start, unit)}–{show(end, unit)}"
        points.append(_share_point(words, n, good, _more(link, wear=f"{start}-{end}")))
    if not points:
        return Chart(title, None, empty="No piece with a depth of damage has been decided on yet.")
    picture = draw_points(title, points, say=say_share, across=f"depth of damage, {unit}", top=1.0)
    rows = tuple((p.words, str(p.n), say_share(p.value), f"{say_share(p.low)} – {say_share(p.high)}") for p in points)
    return Chart(
        title,
        picture,
        (f"depth, {unit}", "decided on", "good", "95 % interval"),
        rows,
        note="Good is: ground, and not come back as a complaint. The whisker is the interval.",
        links=tuple(p.link for p in points),
    )


def _share_point(words: str, n: int, good: int, link: str = "") -> Point:
    within = share_interval(good, n)
    return Point(words, good / n, n, within.low, within.high, link)


def merge_bins(counts: Mapping[int, tuple[int, int]]) -> list[tuple[int, int, int, int]]:
    """(start, end, n, good) of at most MOST_POINTS bins side by side, about equally full."""
    whole, found = sum(n for n, _ in counts.values()), []
    start, n, good = None, 0, 0
    for at, (more, more_good) in sorted(counts.items()):
        start, n, good = (at if start is None else start), n + more, good + more_good
        if n * MOST_POINTS >= whole or len(counts) <= MOST_POINTS:
            found.append((start, at + WEAR_BIN_NM, n, good))
            start, n, good = None, 0, 0
    return [*found, (start, max(counts) + WEAR_BIN_NM, n, good)] if start is not None else found


def reasons(lines: Sequence[Tallied], row: Row, link: str) -> Chart:
    return draw_bars(
        "Why they were not ground",
        [(line.of, line.n) for line in lines],
        row.sums.decided,
        what="reason",
        empty="Nothing of this family was sent back as it came or scrapped.",
        links={line.of: _more(link, reason=line.of) for line in lines},
    )


def complaints(lines: Sequence[Tallied], row: Row, link: str) -> Chart:
    return draw_bars(
        "What came back as a complaint",
        [(line.of, line.n) for line in lines],
        row.sums.ground,
        what="what is wrong",
        empty="No complaint about this family.",
        links={line.of: _more(link, complaint=line.of) for line in lines},
    )


def earnings(row: Row, facts: Facts, unit: Unit) -> Chart:
    """What a bench minute brought, by the diameter a piece came with."""
    title = "Earned a bench minute, by diameter at arrival"
    mine = [f for f in facts.pieces if f.earning and f.came_nm is not None]
    if not any(f.result == "ground" for f in mine):
        return Chart(title, None, empty="No ground piece with a diameter, minutes and a price yet.")
    rates = row.rates
    wheel = (rates.wheel_minor or 0) if rates else 0
    points = []
    for group in by_size(mine):
        low, high = min(f.came_nm or 0 for f in group), max(f.came_nm or 0 for f in group)
        ground = [f for f in group if f.result == "ground"]
        brought = sum(0 if f.again else f.price_minor or 0 for f in ground) - wheel * len(ground)
        words = show(low, unit) if low == high else f"{show(low, unit)}–{show(high, unit)}"
        points.append(Point(words, brought / sum(f.hundredths for f in group), len(group)))
    level = [(rates.hourly_minor / 6000, "the hourly rate")] if rates and rates.hourly_minor else []
    picture = draw_points(title, points, say=say_major, across=f"diameter at arrival, {unit}", levels=level)
    rows = tuple((p.words, str(p.n), say_major(p.value)) for p in points)
    return Chart(
        title,
        picture,
        (f"diameter, {unit}", "pieces", "a minute"),
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
