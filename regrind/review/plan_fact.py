"""Planned and actual of one family: where the prediction is off by more than chance, and what to use instead."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from regrind.geometry.units import Unit

from .bias import Bias, Signs, judge_bias
from .intervals import Moments
from .piece_facts import Fact, Setup
from .setups import SetupSums, part_minutes

READ_NM = {"in": 2_540, "mm": 1_000}  # .0001 in, 1 µm: what a difference is read to, and a default written to
FEWEST_BEFORE = 3  # setups before one whose minutes can be predicted from them
MOST_ALLOWANCE_NM = 1_000_000


@dataclass(frozen=True)
class Comparison:
    """One comparison of planned and actual. scope: the family or a wheel. predicted, actual: means over its cases."""

    quantity: str  # removal, size, end, corner, minutes
    scope: str
    bias: Bias
    predicted: float | None = None
    actual: float | None = None


@dataclass(frozen=True)
class Offer:
    """A default that would take the bias away: finish_radial or finish_end, in nm, from so many cases."""

    allowance: str
    value_nm: int
    now_nm: int
    cases: int
    off_nm: int


def moments_of(values: Iterable[int]) -> Moments:
    values_read = list(values)
    return Moments(len(values_read), sum(values_read), sum(value * value for value in values_read))


def signs_of(values: Iterable[int]) -> Signs:
    values_read = list(values)
    return Signs(sum(value > 0 for value in values_read), sum(value < 0 for value in values_read))


def compare(
    facts: Sequence[Fact], setups: Sequence[Setup], wheels: Mapping[int, str], unit: Unit, since: Mapping[str, datetime]
) -> list[Comparison]:
    """Every comparison that has a case, the family's first and then each wheel's.

    since: by default's name, from when on plans have used the accepted one: what was planned before says nothing of it.
    """
    sides = [f for f in facts if f.off_nm is not None and _after(f, since.get("finish_radial"))]
    ends = [f for f in facts if f.end_off_nm is not None and _after(f, since.get("finish_end"))]
    lines = [
        _removal("this family", sides, unit),
        _size("this family", sides, unit),
        _end("this family", ends, unit),
        _corner("this family", facts, unit),
        _minutes("this family", setups),
    ]
    for key, name in sorted(wheels.items(), key=lambda item: item[1]):
        same_wheel = [f for f in sides if f.wheel == key]
        lines += [_removal(name, same_wheel, unit), _minutes(name, setups, key)]
    return [line for line in lines if line.bias.n]


def _after(fact: Fact, since: datetime | None) -> bool:
    return since is None or (fact.planned_at is not None and fact.planned_at >= since)


def _removal(scope: str, facts: Sequence[Fact], unit: Unit) -> Comparison:
    return _line("removal", scope, [(f.predicted_nm or 0, f.taken_nm or 0) for f in facts], READ_NM[unit])


def _size(scope: str, facts: Sequence[Fact], unit: Unit) -> Comparison:
    return _line("size", scope, [((f.left_nm or 0) + (f.off_nm or 0), f.left_nm or 0) for f in facts], READ_NM[unit])


def _end(scope: str, facts: Sequence[Fact], unit: Unit) -> Comparison:
    return _line("end", scope, [(f.end_predicted_nm or 0, f.end_nm or 0) for f in facts], READ_NM[unit])


def _corner(scope: str, facts: Sequence[Fact], unit: Unit) -> Comparison:
    pairs = [(f.corner_planned_nm or 0, f.corner_nm) for f in facts if f.corner_nm is not None]
    return _line("corner", scope, pairs, READ_NM[unit])


def _minutes(scope: str, setups: Sequence[Setup], wheel: int | None = None) -> Comparison:
    """Hundredths of a minute a piece, against what the setups before it (all of the family's) predicted for a lot of
    that size: a small lot takes longer a piece, which is no bias."""
    pairs, before = [], SetupSums()
    for k, setup in enumerate(setups):
        predicted = part_minutes(before) if k >= FEWEST_BEFORE and setup.hundredths else None
        if predicted and (wheel is None or setup.wheel == wheel):
            pairs.append((round(100 * predicted.a_piece(setup.pieces)), round(setup.hundredths / setup.pieces)))
        if setup.hundredths:
            m, spent = setup.pieces, setup.hundredths
            before += SetupSums(1, m, m * m, spent, m * spent)
    return _line("minutes", scope, pairs, 10)


def _line(quantity: str, scope: str, pairs: Sequence[tuple[int, int]], least: int) -> Comparison:
    off = [real - predicted for predicted, real in pairs]
    mean: Callable[[list[int]], float | None] = lambda numbers: sum(numbers) / len(numbers) if numbers else None  # noqa: E731
    return Comparison(
        quantity,
        scope,
        judge_bias(moments_of(off), signs_of(off), least),
        mean([f for f, _ in pairs]),
        mean([r for _, r in pairs]),
    )


def offers(lines: Sequence[Comparison], allowances: Mapping[str, int], unit: Unit) -> list[Offer]:
    """What to take instead: the finish allowance with the bias added, at what can be read, where that differs.

    allowances: finish_radial and finish_end as the plan takes them now, in nm.
    """
    offered = []
    for line in lines:
        name, halves = {"removal": ("finish_radial", 2), "end": ("finish_end", 1)}.get(line.quantity, ("", 1))
        if not name or line.scope != "this family" or line.bias.finding != "bias" or line.bias.mean is None:
            continue
        step, now = READ_NM[unit], allowances[name]
        value = min(MOST_ALLOWANCE_NM, max(0, round((now + line.bias.mean / halves) / step) * step))
        if value != now:
            offered.append(Offer(name, value, now, line.bias.n, round(line.bias.mean / halves)))
    return offered
