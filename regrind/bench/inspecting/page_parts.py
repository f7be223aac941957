"""What the inspection page shows of its form: its parts, the rows of marks, the flank and the ring of teeth."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django import forms
from django.utils.safestring import SafeString

from regrind.record.dimension_words import say_assumed

from ..drawings.arc import draw_arc
from ..drawings.teeth_ring import draw_ring
from ..kinds.registry import kind_of
from . import damage_map, tooth_rows
from .fields import InspectFields
from .parts import Part, open_one

TOOTH_FIELDS = ("core", "helix", "rake", "land", "primary", "secondary", "flute_length")
DROP_FIELDS = ("drop", "drop_over", "drop_way")
END_FIELDS = (
    *("end_depth", "end_wear_land", "gash_length", "overall", "dish", "end_primary", "end_secondary"),
    *("end_rake", "end_land", "end_drop", "end_drop_over", "centre_cutting", "recess"),
)
GAUGE_FIELDS = ("method", "gauge", "indicator")


class PageParts(InspectFields):
    """The form with what its page is made of."""

    opened = ""  # the part that the page was asked to change
    rows_asked = False  # whether more rows of marks were asked for
    usual_depths: Sequence[str] = ()  # of this family's damage, to be tapped
    on_photos: Sequence[tuple[str, str, str]] = ()  # measured on photos: depth or wear_land, the length, which photo
    end_tapped = False  # whether the end was tapped last
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
        """The fields of each mark, without those that stand beside the flank since it was tapped."""
        beside = {bound.name for bound in self.tapped_fields()}
        names = [[f"mark_{n}_{name}" for name in damage_map.ROW] for n in self.mark_numbers]
        return [[self[name] for name in row if name in self.fields and name not in beside] for row in names]

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
        planner = kind_of(self.line.family).planner
        return (self.computed or bool(planner and planner.teeth)) and not self.known_tool.teeth

    @property
    def teeth_hint(self) -> str:
        assumed = say_assumed(self.line, "teeth")
        return f"{assumed}: count them." if assumed else "Not counted yet; the plan needs it."

    def end_fields(self) -> list[forms.BoundField]:
        return [
            self[name] for name in END_FIELDS if name in self.fields and not (self.end_tapped and name == "end_depth")
        ]

    def damage_fields(self) -> list[forms.BoundField]:
        """What stands with the deepest damage: depth and reach, what this kind asks for besides or instead."""
        kind = kind_of(self.line.family)
        first = ("damage_depth",) if self.face_only else ("damage_depth", "reach")
        names = (*first, *kind.readings, *(("reach",) if self.face_only else ()))
        names += ("flute_length",) if kind.planner and not self.tool.flute_length_nm else ()
        return [self[name] for name in names if name in self.fields]

    def kind_more_fields(self) -> list[forms.BoundField]:
        """What a kind with a plan of its own may read besides."""
        planner = kind_of(self.line.family).planner
        if planner is None:
            return []
        shown = {bound.name for bound in self.damage_fields()}
        names = dict.fromkeys((*planner.asked, *planner.more, *planner.keeps, "overall"))
        return [self[name] for name in names if name in self.fields and name not in shown]

    def parts(self) -> list[Part]:
        """The parts of the page in the order they are worked through, one of them open."""
        parts = [Part("readings", "Three readings" if self.computed else "Readings", self._first_names())]
        if more := self.kind_more_fields():
            parts.append(self._part("more", "More readings", [bound.name for bound in more]))
            parts += [self._single_teeth()] if self.row_quantities else []
        else:
            parts += [self._runout(), self._damage()]
        words = "Gauges, tooth and relief" if self.computed else "Gauges"
        elsewhere = {
            name for part in parts for name in part.names
        }  # such as a flute length that stands with the damage
        shape = [name for name in (*self._shape_names(), "drop", "drop_over") if name not in elsewhere]
        gauges = self._part("gauges", words, shape)
        parts.append(
            replace(gauges, names=(*shape, *GAUGE_FIELDS, "drop_way", *(() if self.asks_teeth else ("teeth",))))
        )
        return open_one(parts, self.opened, self.errors)

    def _first_names(self) -> tuple[str, ...]:
        names = ("diameter", "diameter_source", "diameter_worn", "damage", "unmeasurable_reason", *self.word_names)
        asked = (*(("teeth",) if self.asks_teeth else ()), *(("helix",) if self.helix_first else ()))
        return *names, *asked, *(bound.name for bound in self.damage_fields())

    def tooth_rows(self) -> list[list[forms.BoundField]]:
        """The fields of each tooth that is written by itself."""
        return [[self[name] for name in tooth_rows.list_names(n, self.row_quantities)] for n in self.row_numbers]

    def _single_teeth(self) -> Part:
        names = [name for n in self.row_numbers for name in tooth_rows.list_names(n, self.row_quantities)]
        return self._part("teeth", "Tooth by tooth", names)

    def _runout(self) -> Part:
        words = "Runout, tooth by tooth" if self.tooth_names else "Runout"
        return self._part("runout", words, [*self.tooth_names, *self.end_tooth_names, "tir", "shank_tir"])

    def _damage(self) -> Part:
        marks = [f"mark_{n}_{name}" for n in self.mark_numbers for name in damage_map.ROW]
        words = "Damage, where it is" if self.computed else "The end"
        part = self._part("damage", words, [*marks, "deepest_tooth", *END_FIELDS])
        return replace(part, names=(*part.names, "wear_land_way"))

    def _part(self, key: str, label: str, names: Sequence[str]) -> Part:
        return Part(key, label, tuple(names), is_read=any(self.typed.get(name) not in (None, "") for name in names))

    @property
    def rows_open(self) -> bool:
        """Whether the marks in figures are unfolded: one has an error, or there is no flank to tap them on."""
        names = {f"mark_{n}_{name}" for n in self.mark_numbers for name in damage_map.ROW}
        return bool(names & set(self.errors)) or self.rows_asked or not self.tooth_names

    @property
    def end_open(self) -> bool:
        """Whether what else is read of the end is unfolded."""
        return any(name in self.errors or self.typed.get(name) not in (None, "") for name in END_FIELDS[1:])

    def focus_on_tapped(self) -> None:
        """The pad is open for the depth of what was tapped."""
        name = "end_depth" if self.end_tapped else f"mark_{self.tapped}_depth"
        if (self.end_tapped or self.tapped) and name in self.fields:
            self.fields[name].widget.attrs["autofocus"] = True

    def tapped_fields(self) -> list[forms.BoundField]:
        """The depth or the land of the mark that was tapped last, or the depth of the end's damage."""
        names = ["end_depth"] if self.end_tapped else [f"mark_{self.tapped}_{name}" for name in ("depth", "wear_land")]
        return [self[name] for name in names if name in self.fields]

    def tapped_quantities(self) -> tuple[str, ...]:
        """Which readings of the tools before are like the depth of what was tapped."""
        return ("end_depth",) if self.end_tapped else ("depth", "damage_depth") if self.tapped else ()

    def tapped_words(self) -> str:
        """What was tapped, in words; nothing where nothing was."""
        marks = damage_map.marks_in(self.typed, len(self.mark_numbers))
        if self.end_tapped:
            return "The end face"
        return damage_map.say_mark(marks[self.tapped]).capitalize() if self.tapped in marks else ""

    def tapped_chips(self) -> list[damage_map.Chip]:
        """Depths, and kinds of damage of a mark, to be tapped."""
        kinds = damage_map.KINDS_OF_DAMAGE if self.tapped else ()
        pairs = [(bound, depth) for bound in self.tapped_fields()[:1] for depth in self.usual_depths]
        pairs += [(self[f"mark_{self.tapped}_what"], kind) for kind in kinds]
        chips = [damage_map.Chip(bound.id_for_label, text, bound.value() == text) for bound, text in pairs]
        return [*chips, *self._photo_chips()]

    def _photo_chips(self) -> list[damage_map.Chip]:
        """What was measured on photos of the pieces, for the field that it is of."""
        fields = {name: self[f"mark_{self.tapped}_{name}"] for name in ("depth", "wear_land")} if self.tapped else {}
        return [
            damage_map.Chip(fields[quantity].id_for_label, text, fields[quantity].value() == text, f", {source}")
            for quantity, text, source in self.on_photos
            if quantity in fields
        ]

    def mark_buttons(self) -> list[damage_map.Tap]:
        """Each mark that is typed, in words: a tap takes it up again."""
        marks = damage_map.marks_in(self.typed, len(self.mark_numbers))
        return [damage_map.Tap(f"mark:{n}", damage_map.say_mark(mark)) for n, mark in marks.items() if n != self.tapped]

    def tapped_buttons(self) -> list[damage_map.Tap]:
        n = self.tapped
        return (
            [damage_map.Tap(f"every:{n}", "Repeat on every tooth"), damage_map.Tap(f"clear:{n}", "Remove")] if n else []
        )

    def end_cell(self) -> damage_map.Cell:
        """The end, drawn as the deepest where damage on it is typed."""
        return damage_map.Cell("end", "Damage on the end face", damage_map.SHADES if self.typed.get("end_depth") else 0)

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
        corner = self.line.family.kind_data.corner
        return draw_arc(corner, str(self.typed.get("reach") or ""), self["reach"].id_for_label) if self.arc_nm else ""

    def ring(self) -> SafeString | str:
        teeth = [(self[name].id_for_label, str(self[name].value() or "")) for name in self.tooth_names]
        return draw_ring(teeth) if teeth else ""
