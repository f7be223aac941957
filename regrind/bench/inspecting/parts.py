"""The parts of the inspection page: one is shown at a time, so that each stands on one screen."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Part:
    """One part. names: its fields; is_read: something stands in one; is_wrong: one has an error; is_open: shown."""

    key: str
    label: str
    names: tuple[str, ...]
    is_read: bool = False
    is_wrong: bool = False
    is_open: bool = False

    @property
    def template(self) -> str:
        return f"bench/inspect/{self.key}.html"


def open_one(parts: Sequence[Part], asked: str, wrong: Iterable[str]) -> list[Part]:
    """The parts with those marked that hold an error; open is the first of them, else the one asked for.

    wrong: the names of fields with an error. One that belongs to no part stands on every one.
    """
    names = set(wrong)
    judged = [replace(part, is_wrong=bool(names & set(part.names))) for part in parts]
    first_wrong = next((part.key for part in judged if part.is_wrong), "")
    key = first_wrong or (asked if asked in {part.key for part in parts} else parts[0].key)
    return [replace(part, is_open=part.key == key) for part in judged]
