"""What the inspection page shows of its form: rows, folds that open by themselves, the flank and the ring of teeth."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.safestring import SafeString

from regrind.record.dimension_words import say_assumed

from ..drawings.arc import draw_arc
from ..drawings.teeth_ring import draw_ring
from ..kinds.registry import kind_of
from . import damage_map
from .fields import InspectFields

TOOTH_FIELDS = ("core", "helix", "rake", "land", "primary", "secondary", "flute_length")
DROP_FIELDS = ("drop", "drop_over", "drop_way")
END_FIELDS = (
    *("end_depth", "end_wear_land", "gash_length", "overall", "dish", "end_primary", "end_secondary"),
    *("end_rake", "end_land", "end_drop", "end_drop_over", "centre_cutting", "recess"),
)
GAUGE_FIELDS = ("method", "gauge", "indicator")


class PageParts(InspectFields):
    """The form with what its page is made of."""

    opened = ""  # the fold that the page was asked to change
    tapped: int | None = None  # the mark that was tapped last
    full = False  # whether a mark was left out, since no more fit
    helix_first = False  # whether the helix is asked for with the diameter, since the relief hangs on it
    most_marks = damage_map.MOST_MARKS

    @property
    def typed(self) -> Any:
        """What is typed so far, by field name, whether or not the form was sent to be saved."""
        return self.data if self.is_bound else self.initial

    def tooth_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.tooth_names]

    def end_tooth_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.end_tooth_names]

    def word_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.word_names]

    def mark_rows(self) -> list[list[forms.BoundField]]:
        names = [[f"mark_{n}_{name}" for name in damage_map.ROW] for n in self.mark_numbers]
        return [[self[name] for name in row if name in self.fields] for row in names]

    def shape_fields(self) -> list[forms.BoundField]:
        """The tooth's shape; the helix stands with the diameter where it is asked for there."""
        return [
            self[name] for name in TOOTH_FIELDS if name in self.fields and (name != "helix" or not self.helix_first)
        ]

    def _shape_names(self) -> list[str]:
        names = (name for name in TOOTH_FIELDS if name != "helix" or not self.helix_first)
        return [name for name in names if name in self.fields]

    def drop_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in DROP_FIELDS if name in self.fields]

    def gauge_fields(self) -> list[forms.BoundField]:
        names = GAUGE_FIELDS if self.asks_teeth else (*GAUGE_FIELDS, "teeth")
        return [self[name] for name in names if name in self.fields]

    @property
    def asks_teeth(self) -> bool:
        """Whether the teeth are asked for with the diameter: nobody counted, stated or confirmed them yet."""
        return self.computed and not self.known_tool.teeth

    @property
    def teeth_hint(self) -> str:
        assumed = say_assumed(self.line, "teeth")
        return f"{assumed}: count them." if assumed else "Not counted yet; the plan needs it."

    def end_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in END_FIELDS if name in self.fields]

    def damage_fields(self) -> list[forms.BoundField]:
        """What stands with the deepest damage: depth and reach, what this kind asks for besides or instead."""
        kind = kind_of(self.line.family)
        first = ("damage_depth",) if self.face_only else ("damage_depth", "reach")
        names = (*first, *kind.readings, *(("reach",) if self.face_only else ()))
        names += kind.planner.keeps if kind.planner and not self.tool.flute_length_nm else ()
        return [self[name] for name in names if name in self.fields]

    def kind_more_fields(self) -> list[forms.BoundField]:
        """What a kind with a plan of its own may read besides."""
        planner = kind_of(self.line.family).planner
        if planner is None:
            return []
        shown = {bound.name for bound in self.damage_fields()}
        names = dict.fromkeys((*planner.asked, *planner.more, *planner.keeps, "overall"))
        return [self[name] for name in names if name in self.fields and name not in shown]

    @property
    def kind_more_open(self) -> bool:
        return self._opens([bound.name for bound in self.kind_more_fields()])

    def _opens(self, names: Sequence[str]) -> bool:
        return any(name in self.errors or self.typed.get(name) not in (None, "") for name in names)

    @property
    def runout_open(self) -> bool:
        """Whether this folded part holds an error, or something that was typed or is known from before."""
        return self._opens([*self.tooth_names, *self.end_tooth_names, "tir", "shank_tir"]) or self.opened == "teeth"

    @property
    def marks_open(self) -> bool:
        marks = [f"mark_{n}_{name}" for n in self.mark_numbers for name in damage_map.ROW]
        others = ("deepest_tooth", *END_FIELDS)
        return self._opens([*marks, *others]) or "wear_land_way" in self.errors or self.opened == "marks"

    @property
    def more_open(self) -> bool:
        offered = {*GAUGE_FIELDS, "teeth", "drop_way"}
        return self._opens([*self._shape_names(), "drop", "drop_over"]) or bool(offered & set(self.errors))

    @property
    def asks_tooth(self) -> bool:
        """Whether the page asks on which tooth the deepest damage is: no mark tells of it."""
        if "deepest_tooth" not in self.fields:
            return False
        marks = damage_map.marks_in(self.typed, len(self.mark_numbers))
        place = damage_map.Place(self.line.batch.customer.unit, self.arc_nm)
        return "deepest_tooth" in self.errors or damage_map.is_deepest_missing(self.typed, marks, place)

    def flank(self) -> list[damage_map.Band]:
        """The flank to tap damage on; nothing where the teeth are not known, or more than are drawn."""
        marks = damage_map.marks_in(self.typed, len(self.mark_numbers))
        return damage_map.unroll(self.line, len(self.tooth_names), marks, self.arc_nm) if self.tooth_names else []

    def profile(self) -> SafeString | str:
        """The arc of a corner radius or a ball, to tap on where the damage ends; nothing on a tool without one."""
        kind = self.line.family.kind
        return draw_arc(kind, str(self.typed.get("reach") or ""), self["reach"].id_for_label) if self.arc_nm else ""

    def ring(self) -> SafeString | str:
        teeth = [(self[name].id_for_label, str(self[name].value() or "")) for name in self.tooth_names]
        return draw_ring(teeth) if teeth else ""
