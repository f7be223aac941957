"""A figure together with what each uncertain input brings to it, carried through sums, products and tangents."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Self

K = 2
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in mm, rad or a bare number; `parts` are slope times standard uncertainty, by the input's name."""

    value: float
    parts: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def read(cls, value: float, name: str, standard_uncertainty: float = 0.0) -> Self:
        """An input of its own: two of one name are one and the same reading.

        >>> expand(Quantity.read(10.0, "diameter", 0.002) - Quantity.read(10.0, "diameter", 0.002))
        0.0
        """
        return cls(value, {name: standard_uncertainty} if standard_uncertainty else {})

    def __add__(self, other: "Quantity | float") -> "Quantity":
        if not isinstance(other, Quantity):
            return Quantity(self.value + other, self.parts)
        return Quantity(self.value + other.value, _add(self.parts, 1.0, other.parts, 1.0))

    def __sub__(self, other: "Quantity | float") -> "Quantity":
        return self + (-other)

    def __rsub__(self, other: float) -> "Quantity":
        return -self + other

    def __neg__(self) -> "Quantity":
        return self * -1.0

    def __mul__(self, other: "Quantity | float") -> "Quantity":
        if not isinstance(other, Quantity):
            return Quantity(self.value * other, {name: part * other for name, part in self.parts.items()})
        return Quantity(self.value * other.value, _add(self.parts, other.value, other.parts, self.value))

    def __truediv__(self, other: "Quantity | float") -> "Quantity":
        if not isinstance(other, Quantity):
            return self * (1 / other)
        return self * Quantity(1 / other.value, {name: -part / other.value**2 for name, part in other.parts.items()})


def _add(ours: Mapping[str, float], by: float, theirs: Mapping[str, float], over: float) -> dict[str, float]:
    names = {**ours, **theirs}
    return {name: ours.get(name, 0.0) * by + theirs.get(name, 0.0) * over for name in names}


def tan(angle: Quantity) -> Quantity:
    """The tangent of an angle in rad, within a quarter turn of 0.

    Source: derivative of the tangent.

    >>> round(tan(Quantity(math.radians(45))).value, 9)
    1.0
    """
    tangent = math.tan(angle.value)
    return Quantity(tangent, {name: part * (1 + tangent**2) for name, part in angle.parts.items()})


def expand(quantity: Quantity) -> float:
    """Expanded uncertainty (k = 2) for independent inputs, in the quantity's own unit (mm, rad or none).

    Source: law of propagation (JCGM 100, 5.1.2, memory).

    >>> expand(Quantity.read(1.0, "diameter", 0.003) + Quantity.read(1.0, "damage", 0.004))
    0.01
    """
    return K * math.sqrt(sum(part * part for part in quantity.parts.values()))


def find_largest(quantities: Iterable[Quantity]) -> tuple[Quantity, ...]:
    """The largest, and whatever ties with it within 1e-9; there must be one.

    Source: sums and derivatives; propagation as JCGM 100:2008, 5.1.2.

    >>> [item.value for item in find_largest([Quantity(1.0), Quantity(2.0), Quantity(2.0)])]
    [2.0, 2.0]
    """
    table = list(quantities)
    most = max(item.value for item in table)
    return tuple(item for item in table if most - item.value <= _SAME)


def find_smallest(quantities: Iterable[Quantity]) -> tuple[Quantity, ...]:
    """The smallest, and whatever ties with it within 1e-9; there must be one.

    Source: sums and derivatives; propagation as JCGM 100:2008, 5.1.2.

    >>> [item.value for item in find_smallest([Quantity(1.0), Quantity(2.0)])]
    [1.0]
    """
    return tuple(-item for item in find_largest(-item for item in quantities))
