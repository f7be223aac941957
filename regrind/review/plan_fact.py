"""Plan against fact of one family: where what was predicted is off by more than chance, and what to take instead."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from regrind.geometry.units import Unit

from .bias import Bias, Signs, judge_bias
from .intervals import Moments
from .piece_facts import Fact, Setup
from .setups import SetupSums, part_minutes

READ_NM = {"in": 2_540, "mm": 1_000}  # .0001 in, 1 µm: what a difference is read to, and a default written to
FEWEST_BEFORE = 3  # setups before one whose minutes can be foretold from them
MOST_ALLOWANCE_NM = 1_000_000


@dataclass(frozen=True)
class Line:
    """One comparison. of: family or wheel. mean_predicted, mean_real: over its cases, in its own unit."""

    what: str  # removal, size, end, minutes
    of: str
    bias: Bias
    predicted: float | None = None
    real: float | None = None


@dataclass(frozen=True)
class Offer:
    """A default that would take the bias away: finish_radial or finish_end, in nm, from so many cases."""

    what: str
    value_nm: int
    now_nm: int
    cases: int
    off_nm: int


def moments_of(values: Iterable[int]) -> Moments:
    told = list(values)
    return Moments(len(told), sum(told), sum(value * value for value in told))


def signs_of(values: Iterable[int]) -> Signs:
    told = list(values)
    return Signs(sum(value > 0 for value in told), sum(value < 0 for value in told))


def compare(
    facts: Sequence[Fact], setups: Sequence[Setup], wheels: Mapping[int, str], unit: Unit, since: Mapping[str, datetime]
) -> list[Line]:
    """Every comparison that has a case, the family's first and then each wheel's.

    since: by default's name, from when on plans have used the accepted one: what was planned before says nothing of it.
    """
    sides = [f for f in facts if f.off_nm is not None and _after(f, since.get("finish_radial"))]
    ends = [f for f in facts if f.end_off_nm is not None and _after(f, since.get("finish_end"))]
    lines = [
        _removal("this family", sides, unit),
        _size("this family", sides, unit),
        _end("this family", ends, unit),
        _minutes("this family", setups),
    ]
    for key, name in sorted(wheels.items(), key=lambda item: item[1]):
        mine = [f for f in sides if f.wheel == key]
        lines += [_removal(name, mine, unit), _minutes(name, setups, key)]
    return [line for line in lines if line.bias.n]


def _after(fact: Fact, since: datetime | None) -> bool:
    return since is None or (fact.planned_at is not None and fact.planned_at >= since)


def _removal(of: str, facts: Sequence[Fact], unit: Unit) -> Line:
    return _line("removal", of, [(f.predicted_nm or 0, f.taken_nm or 0) for f in facts], READ_NM[unit])


def _size(of: str, facts: Sequence[Fact], unit: Unit) -> Line:
    return _line("size", of, [((f.left_nm or 0) + (f.off_nm or 0), f.left_nm or 0) for f in facts], READ_NM[unit])


def _end(of: str, facts: Sequence[Fact], unit: Unit) -> Line:
    return _line("end", of, [(f.end_predicted_nm or 0, f.end_nm or 0) for f in facts], READ_NM[unit])


def _minutes(of: str, setups: Sequence[Setup], wheel: int | None = None) -> Line:
    """Hundredths of a minute a piece, against what the setups before it (all of the family's) foretell for a lot of
    that size: a small lot takes longer a piece, which is no bias."""
    pairs, before = [], SetupSums()
    for k, setup in enumerate(setups):
        predicted = part_minutes(before) if k >= FEWEST_BEFORE and setup.hundredths else None
        if predicted and (wheel is None or setup.wheel == wheel):
            pairs.append((round(100 * predicted.a_piece(setup.pieces)), round(setup.hundredths / setup.pieces)))
        if setup.hundredths:
            m, spent = setup.pieces, setup.hundredths
            before += SetupSums(1, m, m * m, spent, m * spent)
    return _line("minutes", of, pairs, 10)


def _line(what: str, of: str, pairs: Sequence[tuple[int, int]], least: int) -> Line:
    off = [real - predicted for predicted, real in pairs]
    mean: Callable[[list[int]], float | None] = lambda told: sum(told) / len(told) if told else None  # noqa: E731
    return Line(
        what,
        of,
        judge_bias(moments_of(off), signs_of(off), least),
        mean([f for f, _ in pairs]),
        mean([r for _, r in pairs]),
    )


def offers(lines: Sequence[Line], allowances: Mapping[str, int], unit: Unit) -> list[Offer]:
    """What to take instead: the finish allowance with the bias added, at what can be read, where that differs.

    allowances: finish_radial and finish_end as the plan takes them now, in nm.
    """
    found = []
    for line in lines:
        name, halves = {"removal": ("finish_radial", 2), "end": ("finish_end", 1)}.get(line.what, ("", 1))
        if not name or line.of != "this family" or line.bias.said != "bias" or line.bias.mean is None:
            continue
        step, now = READ_NM[unit], allowances[name]
        value = min(MOST_ALLOWANCE_NM, max(0, round((now + line.bias.mean / halves) / step) * step))
        if value != now:
            found.append(Offer(name, value, now, line.bias.n, round(line.bias.mean / halves)))
    return found
