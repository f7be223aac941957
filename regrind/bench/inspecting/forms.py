"""The form of an inspection: what must hold among its fields, and the values that it comes to."""

from dataclasses import replace
from typing import Any

from regrind.geometry.units import Typed

from ..gauge_fields import refuse_anvil, refuse_method, refuse_span
from ..readings import Angle, Mark
from . import checks, doubts, tooth_rows
from .page_parts import PageParts


class InspectForm(PageParts):
    """An inspection of some of a line's pieces, checked field by field and as a whole."""

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("unmeasurable_reason"):
            data["damage"] = "unmeasurable"
        if self.computed and not self.face_only:
            checks.take_deepest(self, data)
        checks.check_needed(self, data)
        if self.computed:
            teeth = data.get("teeth") or self.tool.teeth
            refuse_method(self, data.get("method"), teeth, self.tool.unequal_index)
            refuse_anvil(self, data.get("method"), data.get("gauge"), teeth)
            refuse_span(self, data.get("gauge"), data.get("diameter"), self.line.batch.customer.unit)
            checks.check_tooth_readings(self, data)
            checks.check_marks(self, data)
            checks.read_relief(self, data)
            checks.read_end_relief(self, data)
            checks.check_end_wear(self, data)
            if not self.errors:
                doubts.check_plan(self, data)
            doubts.check_deeper_marks(self, data)
        tooth_rows.check_rows(self, data)
        doubts.check_overall(self, data)
        doubts.guard_slips(self, data)
        return data

    def values(self) -> dict[str, Any]:
        """The arguments of `actions.inspect`, besides pieces and revisions."""
        data = self.cleaned_data
        plain = ("diameter_source", "damage", "unmeasurable_reason", "gauge", "indicator", "note", "done_at")
        return {name: data[name] for name in plain} | {
            "diameter_place": self.place_of_diameter(),
            "method": data.get("method", ""),
            "teeth": data.get("teeth"),
            "typed": self.lengths(),
            "angles": self.angles(),
            "each_tooth": self.each_tooth(),
            "each_end_tooth": self.each_end_tooth(),
            "by_tooth": tooth_rows.read_rows(self, data),
            "marks": [replace(mark, number=n) for n, mark in enumerate(self.marks(), start=1)],
            "deepest_tooth": self.tooth_of_deepest(),
            "wear_land_way": self.way_of_wear_lands(),
            "observations": self.observations(),
            "drop_way": data["drop_way"] if data.get("drop") else "",
            "centre_cutting": data.get("centre_cutting") or "",
        }

    def place_of_diameter(self) -> str:
        """Where the diameter was measured; '' where it was not."""
        data = self.cleaned_data
        if not data.get("diameter") or data["diameter_source"] == "marked":
            return ""
        return "worn" if data.get("diameter_worn") else "unworn"

    def tooth_of_deepest(self) -> int:
        """The tooth of the deepest damage, 0 where nobody knows, or where a mark tells of it."""
        return int(self.cleaned_data.get("deepest_tooth") or 0) if self.unmarked else 0

    def way_of_wear_lands(self) -> str:
        read = any(mark.wear_land for mark in self.marks())
        return self.cleaned_data["wear_land_way"] if read else ""

    def observations(self) -> dict[str, str]:
        """By the thing inspected, what was observed; and the readings that look odd and were confirmed."""
        data = self.cleaned_data
        words = {str(self.fields[name].label): data[name] for name in self.word_names if data.get(name)}
        return words | ({"Right as typed": ", ".join(self.confirmed)} if self.confirmed else {})

    def lengths(self) -> dict[str, Typed]:
        """The lengths of the whole tool, by quantity."""
        return {name: typed for name in self.LENGTHS if (typed := self.cleaned_data.get(name)) is not None}

    def angles(self) -> dict[str, Angle]:
        return {
            name: Angle(cdeg, self.data[name].strip())
            for name in self.ANGLES
            if (cdeg := self.cleaned_data.get(name)) is not None
        }

    def each_tooth(self) -> list[Typed]:
        """Every tooth's reading, or none at all."""
        return [typed for name in self.tooth_names if (typed := self.cleaned_data.get(name)) is not None]

    def each_end_tooth(self) -> list[Typed]:
        """The same at the end."""
        return [typed for name in self.end_tooth_names if (typed := self.cleaned_data.get(name)) is not None]

    def marks(self) -> list[Mark]:
        """The marks that were typed, numbered by their rows."""
        data = self.cleaned_data
        return [
            Mark(
                n,
                data[f"mark_{n}_tooth"],
                data[f"mark_{n}_to"],
                data[f"mark_{n}_from"],
                data.get(f"mark_{n}_depth"),
                data[f"mark_{n}_wear_land"],
                data[f"mark_{n}_what"],
            )
            for n in self.mark_numbers
            if data.get(f"mark_{n}_tooth")
        ]
