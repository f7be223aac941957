"""Reading one JSON object key by key: every fault is noted under its dotted path, unknown keys by name."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from regrind.geometry.units import LONGEST_NM, NM_PER_MM, NotALength, parse, quote

Problems = list[tuple[str, str]]
_PLAIN = re.compile(r"[A-Za-z_][A-Za-z0-9_]{0,39}")
_A_LENGTH = 'must be text with a unit, such as "0.25 in", "1/4 in" or "6.35 mm"'


class Fields:
    """An object under `path`. Readers answer a harmless value after noting a problem; call `close` at the end."""

    def __init__(self, data: Any, path: str, problems: Problems) -> None:
        self.path, self.problems, self.read_keys = path, problems, set[str]()
        self.data: Mapping[str, Any] = data if isinstance(data, Mapping) else {}
        self.broken = not isinstance(data, Mapping)
        if self.broken:
            problems.append((path or "case", f"must be an object, not {name_kind(data)}"))

    def name(self, key: str) -> str:
        """Dotted path of `key`."""
        return f"{self.path}.{key}" if self.path else key

    def refuse(self, key: str, message: str) -> None:
        """Note a problem with `key`."""
        self.problems.append((self.name(key), message))

    def has(self, key: str) -> bool:
        """Whether `key` is there at all."""
        return key in self.data

    def take(self, key: str, *, needed: bool = False) -> Any:
        """The raw value, None where absent; null is noted as a problem, and so is the lack of what is required."""
        self.read_keys.add(key)
        value = self.data.get(key)
        if value is None and key in self.data:
            self.refuse(key, "must not be null: leave the key out, or give a value")
        elif value is None and needed and not self.broken:
            self.refuse(key, "is missing, and required")
        return value

    def close(self) -> None:
        """Note every key that no reader asked for."""
        for key in self.data:
            if key not in self.read_keys:
                known = ", ".join(sorted(self.read_keys))
                shown = key if isinstance(key, str) and _PLAIN.fullmatch(key) else quote(str(key))
                self.problems.append((self.name(shown), f"is not a key here; known are {known}"))

    def length(self, key: str, *, above_zero: bool = False) -> int:
        """A needed length in nm, 0 or more (or above 0)."""
        return read_length(self.take(key, needed=True), self.name(key), self.problems, above_zero=above_zero) or 0

    def length_if(self, key: str, *, above_zero: bool = False) -> int | None:
        """A length in nm that may be left out."""
        return read_length(self.take(key), self.name(key), self.problems, above_zero=above_zero)

    def number_if(self, key: str, low: float, high: float, unit: str = "degrees") -> float | None:
        """A number from `low` to `high` that may be left out."""
        value = self.take(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(key, f"must be a number from {low:g} to {high:g} {unit}, not {name_kind(value)}")
            return None
        if not low <= value <= high:
            self.refuse(key, f"must be from {low:g} to {high:g} {unit}")
            return None
        return float(value)

    def number(self, key: str, low: float, high: float, unit: str = "degrees") -> float:
        """A needed number from `low` to `high`; `low` after a problem."""
        if not self.has(key):
            self.take(key, needed=True)
            return low
        value = self.number_if(key, low, high, unit)
        return low if value is None else value

    def whole(self, key: str, low: int, high: int) -> int:
        """A needed whole number from `low` to `high` (3.0 is whole); 0 after a problem."""
        value = self.take(key, needed=True)
        if value is None:
            return 0
        good = isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high
        if not good or value != int(value):
            self.refuse(key, f"must be a whole number from {low} to {high}")
            return 0
        return int(value)

    def one_of(self, key: str, allowed: Sequence[str], *, needed: bool = False) -> str | None:
        """One of the words `allowed`."""
        value = self.take(key, needed=needed)
        if value is None:
            return None
        if isinstance(value, str) and value in allowed:
            return value
        words = " or ".join(f'"{word}"' for word in allowed)
        self.refuse(key, f"must be {words}, not {quote(value) if isinstance(value, str) else name_kind(value)}")
        return None

    def text_if(self, key: str) -> str | None:
        """Free text that may be left out."""
        value = self.take(key)
        if value is not None and not isinstance(value, str):
            self.refuse(key, f"must be text, not {name_kind(value)}")
            return None
        return value

    def flag(self, key: str) -> bool:
        """True or false, false where left out."""
        value = self.take(key)
        if value is not None and not isinstance(value, bool):
            self.refuse(key, f"must be true or false, not {name_kind(value)}")
        return value is True

    def items(self, key: str) -> list[Any] | None:
        """A list that may be left out."""
        value = self.take(key)
        if value is not None and not isinstance(value, list | tuple):
            self.refuse(key, f"must be a list, not {name_kind(value)}")
            return None
        return None if value is None else list(value)

    def part(self, key: str, *, needed: bool = False) -> "Fields | None":
        """The object under `key`, None where left out."""
        value = self.take(key, needed=needed)
        return None if value is None else Fields(value, self.name(key), self.problems)


def read_length(value: Any, path: str, problems: Problems, *, above_zero: bool = False) -> int | None:
    """A length in nm from text with a unit: 0 or more, or above 0; None after a problem, and for None.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> problems = []
    >>> read_length("1/4 in", "tool.flute_length", problems), read_length("-1 mm", "tool.core", problems)
    (6350000, None)
    >>> problems
    [('tool.core', '"-1 mm" is out of range: must be from 0 to 10 m')]
    """
    nm = read_signed_length(value, path, problems)
    least = 1 if above_zero else 0
    if nm is None or nm >= least:
        return nm
    span = "above 0" if above_zero else "from 0"
    problems.append(
        (
            path,
            f"{quote(value)} is out of range: must be {span} {'and at most' if above_zero else 'to'} "
            f"{LONGEST_NM // NM_PER_MM // 1000} m",
        )
    )
    return None


def read_signed_length(value: Any, path: str, problems: Problems) -> int | None:
    """A length in nm from text with a unit, of either sign; None after a problem.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_signed_length("-2 tenths", "measured.tooth_readings[1]", [])
    -5080
    """
    if value is None:
        return None
    if not isinstance(value, str):
        problems.append((path, f"{_A_LENGTH}, not {name_kind(value)}"))
        return None
    try:
        return parse(value).nm
    except NotALength as fault:
        problems.append((path, str(fault)))
        return None


def name_kind(value: Any) -> str:
    """What a JSON value is, in words.

    Source: none needed: JSON's own names.

    >>> name_kind(True), name_kind([])
    ('true or false', 'a list')
    """
    kinds = ((bool, "true or false"), (str, "text"), (int | float, "a number"), (Mapping, "an object"))
    return next((word for kind, word in kinds if isinstance(value, kind)), "null" if value is None else "a list")
