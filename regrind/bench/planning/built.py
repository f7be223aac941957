"""A case as it is being built from the record, with what was assumed and the fields that its values came from."""

from dataclasses import dataclass, field

from regrind.geometry.inputs import Case

from ..models import Inspection, Reading


@dataclass
class BuiltCase:
    """A case ready to be worked out, None where something lacks.

    assumed: in words, what was assumed besides the program's own defaults. fields: by the path of a value in the case,
    the field of the inspection's form that it came from; what came from elsewhere is not named. unmarked: in words,
    the stated damage that no mark is as deep or reaches as far as, '' where the marks agree with it.
    """

    case: Case | None = None
    assumed: list[str] = field(default_factory=list)
    lacks: tuple[str, ...] = ()
    fields: dict[str, str] = field(default_factory=dict)
    unmarked: str = ""

    def take(self, inspection: Inspection, name: str, path: str) -> Reading | None:
        """The reading of that name, whose field is then the one that a fault at the path belongs to."""
        reading = inspection.readings.get(name)
        if reading is not None:
            self.fields[path] = name
        return reading
