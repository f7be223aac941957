"""The fields of the final check: which of them a kind asks for, and what they offer first."""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from typing import Any

from django import forms

from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece
from regrind.shop.fields.dates import DoneAt
from regrind.shop.fields.forms import AngleText, LengthText
from regrind.shop.models import ShopSettings

from ..gauge_fields import GaugeChoice
from ..inspecting.fields import DROP_WAYS, usual_method
from ..kinds.registry import kind_of
from ..models import METHODS, FinalCheck, Plan
from ..piece_form import PiecesForm
from . import corner_and_coating
from .blocks import IN_FULL, Block, suffix_of
from .bounds import Bounds, find_diameter_window, find_windows
from .findings import Window
from .sizes import group_by_size
from .targets import say_relief_target, say_targets

CM_NM = 10_000_000
EXCEPTIONS = 4
ASKED = {  # what a kind's label says -> the fields that are read for it
    "diameter": ("diameter", "method", "gauge"),
    "relief": ("drop", "drop_over", "drop_way", "indicator"),
    "runout": ("runout_sides", "runout_end", "indicator"),
    "length": ("overall",),
    "corner": ("corner", "corner_size"),
    "coating": ("coating",),
    "angle": ("point_angle",),
    "chamfer": ("chamfer_length",),
    "width": ("width",),
}
CORNER_SIZES = {"radius": "Corner radius", "ball": "Ball radius"}
ALWAYS = ("pieces", "seen", "witness", "note", "passed", "sent_back", "sure", "released_because", "done_at")
LEFT = {"left_depth": "damage_depth", "left_reach": "reach", "left_flutes": "flute_length"}


class CheckFields(PiecesForm):
    """What is asked at the final check of a kind, with what is offered first.

    By piece id: `ground`, the parts that were at this visit; `recoated`, what a coater put on. teeth: as they were
    counted at the inspection, None where nobody did: then those of the line and its family.
    """

    diameter = LengthText(label="Diameter at the end", least_nm=100_000, most_nm=500_000_000, required=False)
    point_angle = AngleText(label="Point angle", least=20, most=180, required=False)
    lip_height = LengthText(label="Lip height difference", most_nm=CM_NM, required=False)
    chamfer_length = LengthText(label="Chamfer, length", most_nm=10 * CM_NM, required=False)
    width = LengthText(label="Width", most_nm=30 * CM_NM, required=False)
    drop = LengthText(label="Indicator drop", most_nm=CM_NM, required=False)
    drop_over = LengthText(label="over a distance of", least_nm=1_000, most_nm=CM_NM, required=False)
    drop_way = forms.ChoiceField(label="distance taken", choices=[("", "choose"), *DROP_WAYS], required=False)
    runout_sides = LengthText(label="Runout on the sides", most_nm=CM_NM, required=False)
    runout_end = LengthText(label="Runout on the end teeth", most_nm=CM_NM, required=False)
    back_diameter = LengthText(
        label="Diameter at the back of the flute", least_nm=100_000, most_nm=500_000_000, required=False
    )
    overall = LengthText(label="Overall length", most_nm=100 * CM_NM, required=False)
    usable = LengthText(label="Usable length", most_nm=100 * CM_NM, required=False)
    corner = forms.ChoiceField(
        label="Corner as it is now",
        required=False,
        choices=[("", "not recorded"), *FinalCheck._meta.get_field("corner").choices],  # type: ignore[misc]  # may be None
    )
    corner_size = LengthText(label="Corner size", most_nm=5 * CM_NM, required=False)
    coating = forms.CharField(label="Coating as it is now", max_length=60, required=False)
    witness = forms.CharField(label="Witness marks left", max_length=200, required=False)
    method = forms.ChoiceField(label="Measured with", choices=[("", "not recorded"), *METHODS], required=False)
    gauge = GaugeChoice("Gauge for the diameter")
    indicator = GaugeChoice("Gauge for drop, runout and lengths")
    passed = forms.ChoiceField(
        label="What becomes of them",
        choices=[
            ("yes", "Save and release"),
            ("no", "Save and grind again as planned"),
            ("anew", "Save and plan anew from this diameter"),
        ],
    )
    sent_back = forms.CharField(label="Why they go back", max_length=300, required=False)
    left_depth = LengthText(label="Damage still left, how deep", most_nm=5 * CM_NM, required=False)
    left_reach = LengthText(label="and how far back", most_nm=30 * CM_NM, required=False)
    left_flutes = LengthText(label="Flute length now", most_nm=100 * CM_NM, required=False)
    sure = forms.BooleanField(label="The value is right", required=False)
    released_because = forms.CharField(label="Why it is released outside a limit", max_length=300, required=False)
    note = forms.CharField(max_length=500, required=False)
    done_at = DoneAt()

    asks_sure = False

    def __init__(
        self,
        *args: Any,
        pieces: Sequence[Piece],
        ground: dict[int, tuple[str, ...]],
        recoated: dict[int, str],
        initial: dict[str, Any],
        plans: Mapping[int, Plan] | None = None,
        teeth: int | None = None,
        bounds: Bounds | None = None,
        shop: ShopSettings | None = None,
        **kwargs: Any,
    ) -> None:
        self.ground, self.recoated, self.bounds, self.shop = ground, recoated, bounds, shop
        self.confirmed: list[str] = []  # labels of readings that look odd and were confirmed
        super().__init__(*args, pieces=pieces, initial=initial, **kwargs)
        self.tool = tool_of(self.line)
        self.teeth = teeth or self.tool.teeth
        self._ask_what_the_kind_needs()
        if isinstance(gauges := self.fields.get("gauge"), GaugeChoice):
            gauges.size_nm = self.tool.nominal_nm
        self._offer_first_values(pieces)
        self.blocks = self._list_blocks(pieces, plans or {})
        self._add_nth()
        self._say_targets(say_targets(self.line, pieces, plans or {}), plans or {})
        self._say_limits(plans or {})
        self._add_exceptions()
        self.each_length(lambda _, field: self._read_in(field))

    def _ask_what_the_kind_needs(self) -> None:
        kind = self.line.family.kind_data
        self.fields["passed"].error_messages["required"] = "Choose what becomes of them."
        asked = {name for word in kind.label for name in ASKED[word]} | set(ALWAYS)
        planner = kind_of(self.line.family).planner
        asked |= {*planner.checks} if planner else set()
        if kind.computed:
            asked |= {"back_diameter", "usable", *LEFT}
        else:
            passed = self.fields["passed"]
            assert isinstance(passed, forms.ChoiceField)
            passed.choices = list(passed.choices)[:2]  # type: ignore[arg-type]  # the stubs allow a callable
        for name in set(self.fields) - asked:
            del self.fields[name]
        self.needed = tuple(name for name in kind.checked if name in asked)
        if kind.corner in CORNER_SIZES and "corner_size" in self.fields:
            self.fields["corner_size"].label = CORNER_SIZES[kind.corner]
        if kind.corner == "ball" and "corner" in self.fields:
            self.fields["corner"].label = "Ball as it is now"
        for name, words in (("diameter", kind.size_name), ("point_angle", kind.angle.capitalize())):
            if words and name in self.fields:
                self.fields[name].label = words
        for name in self.needed:
            self.fields[name].widget.is_required = False
            self.fields[name].widget.attrs["aria-required"] = "true"

    def _offer_first_values(self, pieces: Sequence[Piece]) -> None:
        first = {"method": usual_method(self.teeth, self.tool.unequal_index), **self._usual_state(pieces)}
        self.initial = first | dict(self.initial or {})

    def _usual_state(self, pieces: Sequence[Piece]) -> dict[str, Any]:
        """The corner and the coating to offer for the first of some pieces."""
        first = pieces[0].pk if pieces else 0
        parts, known = self.ground.get(first, ()), tool_of(self.line, with_assumed=False)
        return {
            "corner": corner_and_coating.usual_corner(known, parts),
            "coating": corner_and_coating.usual_coating(known, parts, self.recoated.get(first)),
        }

    def _list_blocks(self, pieces: Sequence[Piece], plans: Mapping[int, Plan]) -> list[Block]:
        """A block for each planned size; the fields of the first have plain names, those of the others are added."""
        groups = group_by_size(pieces, plans) or {0: []}
        blocks = []
        for number, (planned_nm, alike) in enumerate(groups.items()):
            usable_nm = next((plans[piece.pk].usable_nm for piece in alike if piece.pk in plans), None)
            blocks.append(Block(self, planned_nm, alike, suffix_of(planned_nm) if number else "", usable_nm))
            blocks[-1].relief_target = next((say_relief_target(plans[p.pk]) for p in alike if p.pk in plans), "")
            if number:
                self._add_block(blocks[-1])
        return blocks

    def _add_block(self, block: Block) -> None:
        usual = self._usual_state(block.pieces)
        for name in IN_FULL:
            if name in self.fields:
                self.fields[block.name(name)] = deepcopy(self.fields[name])
                self.initial[block.name(name)] = usual.get(name, (self.initial or {}).get(name))

    def _add_nth(self) -> None:
        """A diameter for every nth piece after the first of its size, where the diameter is what counts."""
        every = max(1, self.line.check_every)
        counted = [p for block in self.blocks for n, p in enumerate(block.pieces) if n and n % every == 0]
        self.nth = counted if "diameter" in self.needed else []
        for piece in self.nth:
            self.fields[f"diameter_{piece.pk}"] = LengthText(
                label=f"Diameter of {piece.short}", least_nm=100_000, most_nm=500_000_000, required=False
            )

    def _say_targets(self, targets: Mapping[int, str], plans: Mapping[int, Plan]) -> None:
        """Beside each diameter the size that this piece is planned to, where the pieces differ."""
        names = {piece.pk: f"diameter_{piece.pk}" for piece in self.nth}
        names |= {block.pieces[0].pk: block.name("diameter") for block in self.blocks if block.pieces}
        for pk, name in names.items():
            if name in self.fields:
                self.fields[name].help_text = targets.get(pk, "")
                self._hold(name, find_diameter_window(self.line, plans.get(pk)))

    def _say_limits(self, plans: Mapping[int, Plan]) -> None:
        """What is typed of runout, corner and length is held against its limit at once, as the diameters are."""
        if self.shop is None:
            return
        for block in self.blocks:
            plan = next((plans[piece.pk] for piece in block.pieces if piece.pk in plans), None)
            for name, window in find_windows(self.line, plan, self.shop).items():
                self._hold(block.name(name), window)

    def _hold(self, name: str, window: Window | None) -> None:
        if window and name in self.fields:
            sides = zip(("data-least", "data-most"), window, strict=True)
            self.fields[name].widget.attrs |= {side: nm for side, nm in sides if nm is not None}

    def _add_exceptions(self) -> None:
        for n in range(1, EXCEPTIONS + 1):
            self.fields[f"back_{n}"] = forms.CharField(label="Piece", max_length=12, required=False)
            self.fields[f"why_{n}"] = forms.CharField(
                label="goes back to grinding because", max_length=300, required=False
            )

    @property
    def drop_hint(self) -> str:
        return "same as last time" if not self.is_bound and self.initial.get("drop_over") else ""

    def left_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in LEFT if name in self.fields]

    @property
    def has_relief(self) -> bool:
        return "drop" in self.fields

    def nth_fields(self) -> list[forms.BoundField]:
        return [self[f"diameter_{piece.pk}"] for piece in self.nth]

    @property
    def nth_beside(self) -> bool:
        """Whether the other diameters stand beside the first: they are all of its size."""
        return bool(self.nth) and len(self.blocks) == 1

    def exception_rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"back_{n}"], self[f"why_{n}"]) for n in range(1, EXCEPTIONS + 1)]

    def back_choices(self) -> list[tuple[str, str]]:
        """The buttons that send all pieces back."""
        field = self.fields["passed"]
        assert isinstance(field, forms.ChoiceField)
        return list(field.choices)[1:]  # type: ignore[arg-type]  # the stubs allow a callable

    @property
    def back_open(self) -> bool:
        return self["passed"].value() in ("no", "anew") or "passed" in self.errors

    def exceptions_open(self) -> bool:
        return any(self[f"{name}_{n}"].value() for n in range(1, EXCEPTIONS + 1) for name in ("back", "why"))

    @property
    def release_label(self) -> str:
        """What the button that releases does: `Save, and release all 11 (3 measured)`; the script keeps it true."""
        ticked = self.ticked() if self.is_bound else list(self.by_id.values())
        back = sum(bool(self[f"back_{n}"].value()) for n in range(1, EXCEPTIONS + 1))
        if back:
            return f"Save: release {max(0, len(ticked) - back)}, send {back} back"
        if len(self.by_id) == 1:
            return f"Save and release {next(iter(self.by_id.values())).short}"
        if len(ticked) < len(self.by_id):
            return f"Save, and release the {len(ticked)} ticked"
        every = "both" if len(ticked) == 2 else f"all {len(ticked)}"
        return f"Save, and release {every} ({len(self.blocks) + len(self.nth)} measured)"
