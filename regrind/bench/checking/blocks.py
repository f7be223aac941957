"""The blocks of the check page: for each planned size the fields of the piece that is read in full."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from django.forms import BoundField

from regrind.geometry.units import Typed, show_with_unit
from regrind.record.models import Piece

from ..readings import Angle
from .relief import Relief
from .sizes import FirstRead

if TYPE_CHECKING:
    from .fields import CheckFields

LENGTHS = (
    "diameter",
    "back_diameter",
    "drop",
    "drop_over",
    "runout_sides",
    "runout_end",
    "overall",
    "usable",
    "chamfer_length",
    "width",
    "corner_size",
    "lip_height",
)
WORDS = ("corner", "coating", "witness", "drop_way")
IN_FULL = (*LENGTHS, "point_angle", *WORDS)
MAIN = ("diameter", "point_angle", "lip_height", "chamfer_length", "width", "drop")
REST = ("runout_sides", "overall")
STATE = ("corner", "corner_size", "coating")
SHARED_MORE = ("method", "gauge", "indicator")
OWN_MORE = ("back_diameter", "runout_end", "usable", "witness")


def suffix_of(planned_nm: int) -> str:
    """What the names of a further block's fields end with."""
    return f"_at_{planned_nm}"


class Block:
    """The fields of one planned size; the first block's have their plain names. relief: from its drop, once read."""

    def __init__(
        self, form: "CheckFields", planned_nm: int, pieces: Sequence[Piece], suffix: str, usable_nm: int | None
    ) -> None:
        self.form, self.planned_nm, self.pieces, self.suffix = form, planned_nm, pieces, suffix
        self.usable_nm = usable_nm
        self.relief: Relief | None = None
        self.relief_target = ""  # in words, '' where the sides are left alone

    def name(self, field: str) -> str:
        """The form's name of a field of this block; fields that all blocks share keep theirs."""
        return f"{field}{self.suffix}" if field in IN_FULL else field

    def read(self, data: Mapping[str, Any]) -> dict[str, Any]:
        """The clean values of this block and those that all share, by their plain names."""
        return {field: data.get(self.name(field)) for field in (*IN_FULL, "method", "gauge", "indicator")}

    def lengths_nm(self, data: Mapping[str, Any]) -> dict[str, int]:
        """What was read, in nm; the point angle in hundredths of a degree."""
        values = self.read(data)
        angle = {} if values["point_angle"] is None else {"point_angle": values["point_angle"]}
        return {name: values[name].nm for name in LENGTHS if isinstance(values[name], Typed)} | angle

    def first_ticked(self) -> Piece | None:
        """The piece that is read in full: the first of the size that is ticked."""
        ticked = self.form.ticked() if self.form.is_bound else self.pieces
        return next((piece for piece in self.pieces if piece in ticked), None)

    def first_read(self, data: Mapping[str, Any]) -> FirstRead:
        """What was read on the first piece, for the action."""
        values = self.read(data)
        angle = values["point_angle"]
        return FirstRead(
            typed={name: values[name] for name in LENGTHS if isinstance(values[name], Typed)},
            angles={} if angle is None else {"point_angle": Angle(angle, self._typed("point_angle"))},
            corner=values["corner"] or "",
            coating=values["coating"] or "",
            method=values["method"] or "",
            witness=values["witness"] or "",
            drop_way=(values["drop_way"] or "") if values["drop"] else "",
        )

    def _typed(self, field: str) -> str:
        return str(self.form.data[self.name(field)]).strip()

    def legend(self) -> str:
        """`The first ticked piece, in full`; with the size and its pieces where the line has several."""
        first = self.pieces[0] if self.pieces else None
        if len(self.form.blocks) == 1:
            return (
                f"{first.short}, in full" if first and len(self.form.by_id) == 1 else "The first ticked piece, in full"
            )
        unit = self.form.line.batch.customer.unit
        size = f"planned to {show_with_unit(self.planned_nm, unit)}" if self.planned_nm else "without a planned size"
        measured = self.first_ticked() or first
        return f"{measured.short if measured else ''} in full, for the {len(self.pieces)} {size}"

    def _those(self, names: Sequence[str]) -> list[BoundField]:
        return [self.form[self.name(name)] for name in names if self.name(name) in self.form.fields]

    def main_fields(self) -> list[BoundField]:
        return self._those(MAIN)

    def rest_fields(self) -> list[BoundField]:
        return self._those(REST)

    def state_fields(self) -> list[tuple[BoundField, str]]:
        """Corner and coating as they are now, each with the hint that stands beside what is offered."""
        return [(bound, "suggested: change it if it is wrong" if bound.initial else "") for bound in self._those(STATE)]

    def more_fields(self) -> list[BoundField]:
        """The readings that few need; the gauges stand with the first block."""
        return self._those(OWN_MORE if self.suffix else (*SHARED_MORE, *OWN_MORE))

    @property
    def more_open(self) -> bool:
        return any(self.name(name) in self.form.errors for name in (*SHARED_MORE, *OWN_MORE))

    @property
    def drop_over(self) -> BoundField:
        return self.form[self.name("drop_over")]

    @property
    def drop_way(self) -> BoundField:
        return self.form[self.name("drop_way")]

    @property
    def relief_fields(self) -> str:
        """The fields that the relief is worked out from, as a selector."""
        names = ("drop", "drop_over", "drop_way", "diameter", "indicator", "gauge")
        return ", ".join(f"#id_{self.name(name)}" for name in names)
