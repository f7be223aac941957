"""Which options are worth having: none that another beats on diameter or usable length and matches on the other."""

from collections.abc import Callable, Sequence
from typing import TypeVar

EQUAL_MM = 1e-8
Sizes = tuple[float, float]
Item = TypeVar("Item")


def prune(items: Sequence[Item], measure: Callable[[Item], Sizes]) -> list[Item]:
    """Drop what another item beats on one size without being worse on the other; of equals the first stays.

    measure: diameter and usable length in mm; they are the same within 1e-8 mm.
    Source: derived in the notes (which options).

    >>> prune([(10.0, 20.0), (9.9, 20.0), (9.9, 21.0), (10.0, 20.0)], lambda sizes: sizes)
    [(10.0, 20.0), (9.9, 21.0)]
    """
    sizes = [measure(item) for item in items]
    return [
        item
        for index, item in enumerate(items)
        if not any(
            _beats(other, sizes[index], earlier=place < index) for place, other in enumerate(sizes) if place != index
        )
    ]


def is_as_good(one: Sizes, other: Sizes) -> bool:
    """Whether `one` leaves as much diameter and as much length as `other`, to 1e-8 mm.

    Source: derived in the notes (which options).

    >>> is_as_good((10.0, 20.0), (9.9, 20.0))
    True
    """
    return one[0] - other[0] >= -EQUAL_MM and one[1] - other[1] >= -EQUAL_MM


def _beats(one: Sizes, other: Sizes, *, earlier: bool) -> bool:
    return is_as_good(one, other) and (earlier or not is_as_good(other, one))
