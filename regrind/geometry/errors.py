"""The one way this module says no: the name of a field, what is wrong with it, the range allowed."""

from typing import Self


class Refused(ValueError):
    """Impossible or missing input. `field` names it, `message` says what is wrong and what is allowed.

    Where one look found several faults, this is the first and `others` are the rest.
    """

    def __init__(self, field: str, message: str, others: "tuple[Refused, ...]" = ()) -> None:
        super().__init__(f"{field}: {message}")
        self.field = field
        self.message = message
        self.others = others

    @property
    def key(self) -> str:
        """The last name of the field's path.

        >>> Refused("damage[0].to", "is too long").key, Refused("measured.tooth_readings[1]", "is too high").key
        ('to', 'tooth_readings')
        """
        return self.field.rpartition(".")[2].partition("[")[0]

    @classmethod
    def from_problems(cls, problems: list[tuple[str, str]]) -> Self:
        """All of `problems` (field, message) as one refusal; there must be at least one.

        >>> [fault.field for fault in Refused.from_problems([("a", "is missing"), ("b", "is missing")]).others]
        ['b']
        """
        (field, message), *rest = problems
        return cls(field, message, tuple(cls(*problem) for problem in rest))


class DamageAtCore(Refused):
    """Damage on the sides that comes to the core: grinding cannot clean it, so the tool is for scrap, or by hand."""
