"""The setup card's figures: worked out from the stored plan, the wheel and the machine's settings.

Lengths are millimetres, angles radians; a figure that cannot be had is None and the reason stands beside it.
"""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from regrind.geometry.case import read
from regrind.geometry.defaults import Default
from regrind.geometry.dial_passes import DialPasses
from regrind.geometry.drills import find_helix_at
from regrind.geometry.end_defaults import find_end_defaults
from regrind.geometry.lag import (
    SetupUncertainty,
    StylusSetup,
    find_setup_uncertainty,
    hands_agree,
    needs_mirrored_setup,
    set_stylus,
)
from regrind.geometry.land import find_helix_spread
from regrind.geometry.relief import DropAim, Way, aim_drop
from regrind.geometry.setup import find_pull_off_ratio
from regrind.geometry.units import NM_PER_MM, Unit, parse
from regrind.record.kinds import RADIAL
from regrind.record.line_dimensions import tool_of
from regrind.shop.models import Wheel

from ..from_family import assume_helix
from ..models import Plan
from ..planning.words import say_field
from .machine import Machine
from .passes import plan_passes
from .prefill import ENDS, Aim, option_of, root_of
from .relief_target import DROP_TOLERANCE_RAD
from .wheel import attempt

DISTANCE_U_MM = 0.05  # assumed: how surely a stylus is set along the axis (k = 1)
TIP_U_MM = 0.01  # assumed: how surely its height is set (k = 1)
INDICATOR_OVER_MM = {"in": (0.127, 0.1905, 0.254, 0.381, 0.508, 0.762), "mm": (0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.8)}
# Above this the end is first cut off, and so much is left to grind: common practice, from memory.
END_CUT_OFF_NM, END_GROUND_NM = 1_500_000, 508_000


@dataclass
class Card:
    """What is set for the pieces of one plan. `shape`: the tool's figures; `assumed`: those that rest on a default."""

    aim: Aim
    machine: Machine
    unit: Unit = "in"
    option: dict[str, Any] = field(default_factory=dict)
    case: dict[str, Any] = field(default_factory=dict)
    shape: dict[str, Any] = field(default_factory=dict)
    assumed: tuple[str, ...] = ()
    relief_rad: float | None = None
    helix_rad: float | None = None
    stylus: StylusSetup | None = None
    uncertainty: SetupUncertainty | None = None
    stylus_refused: str = ""
    pull_off: float | None = None
    drop: DropAim | None = None
    drop_over_mm: float | None = None
    passes: DialPasses | None = None
    passes_refused: str = ""
    end_passes: DialPasses | None = None
    end_passes_refused: str = ""
    face_passes: DialPasses | None = None
    face_passes_refused: str = ""
    travel_mm: float | None = None
    travel_new_mm: float | None = None
    runout_mm: float | None = None
    end_defaults: tuple[Default, ...] = ()
    wheel: Wheel | None = None

    @property
    def end_relief_deg(self) -> float | None:
        """The end relief that was read, else the assumed one."""
        assumed = {default.field: default.value for default in self.end_defaults}
        read: float | None = self.shape.get("end_primary_relief_deg")
        return assumed.get("end_primary_relief_deg") if read is None else read

    @property
    def plan(self) -> Plan | None:
        return self.aim.plan

    @property
    def parts(self) -> tuple[str, ...]:
        """What this card is for: what is not ground yet, or all of it where everything is."""
        return self.aim.remaining or self.aim.parts

    @property
    def of_kind(self) -> bool:
        """Whether its plan is one of a kind's own, not as of an end mill."""
        return "grind" in self.option

    @property
    def hand_of_cut(self) -> str:
        return self.shape.get("hand_of_cut") or "right"

    @property
    def hand_of_helix(self) -> str:
        return self.shape.get("hand_of_helix") or "right"

    @property
    def mirrored(self) -> bool:
        return needs_mirrored_setup(self.hand_of_cut)  # type: ignore[arg-type]  # the plan's case holds right or left

    @property
    def agree(self) -> bool:
        """Whether hand of cut and hand of helix are the same."""
        return hands_agree(self.hand_of_cut, self.hand_of_helix)  # type: ignore[arg-type]  # as above

    @property
    def tip_mm(self) -> float | None:
        """How far the tip stands from the tool's centre; the page says above or below."""
        return abs(self.stylus.tip_below_mm) if self.stylus else None

    @property
    def relief_deg(self) -> float | None:
        return math.degrees(self.relief_rad) if self.relief_rad is not None else None

    @property
    def expanded_deg(self) -> float | None:
        """The uncertainty (k = 2) of the relief as set, in degrees: every input, assumed ones with their spread."""
        return math.degrees(self.uncertainty.expanded_rad) if self.uncertainty else None

    @property
    def cut_off(self) -> bool:
        """Whether so much comes off the end that most of it is cut off before it is ground."""
        return (self.aim.end_nm or 0) > END_CUT_OFF_NM

    @property
    def assumed_words(self) -> list[str]:
        return [say_field(name) for name in self.assumed]

    @property
    def asks_helix(self) -> bool:
        """Whether an assumed helix alone makes the relief as unsure as it is: it is to be measured first."""
        helix_decides = self.uncertainty is not None and self.uncertainty.decided_by == "helix"
        return helix_decides and "helix_deg" in self.assumed


def set_up(aim: Aim, wheel: Wheel | None, machine: Machine, unit: Unit) -> Card:
    """The card of one plan, for a wheel (None: no infeeds) on the machine as it is set."""
    plan = aim.plan
    card = Card(aim, machine, unit, option_of(plan) if plan else {}, wheel=wheel)
    if plan is None or not card.option:
        return card
    case, defaults = _stored(plan)
    card.case = case
    card.shape = defaults | {name: value for name, value in case["tool"].items() if value is not None}
    card.assumed = tuple(sorted({*defaults, *aim.assumed}))
    card.runout_mm = _known_runout(case)
    if not card.of_kind:
        _set_end_mill(card, plan, wheel)
    _set_end(card, case, wheel)
    return card


def _set_end_mill(card: Card, plan: Plan, wheel: Wheel | None) -> None:
    if "face" in card.parts and card.option.get("face_stock_mm"):
        stock_nm = round(card.option["face_stock_mm"] * NM_PER_MM)
        card.face_passes, card.face_passes_refused = plan_passes(card.machine, card.unit, wheel, stock_nm, 0.0)
    card.end_defaults = find_end_defaults(read(card.case).tool) if "end" in card.parts else ()
    if "sides" in card.parts and plan.diameter_nm:
        _set_sides(card, plan, card.case, wheel)


def _set_end(card: Card, case: dict[str, Any], wheel: Wheel | None) -> None:
    if set(ENDS) & set(card.parts):
        allowed = case["allow"].get("finish_end") or case["allow"].get("finish")
        finish = parse(allowed).mm if allowed else 0.0
        end_nm = card.aim.end_nm
        ground_nm = min(end_nm or 0, END_GROUND_NM) if card.cut_off else end_nm
        card.end_passes, card.end_passes_refused = plan_passes(card.machine, card.unit, wheel, ground_nm, finish)


def _stored(plan: Plan) -> tuple[dict[str, Any], dict[str, Any]]:
    """The case as JSON, and the defaults that were used, by field."""
    root = root_of(plan)
    return json.loads(root.case), {item["field"]: item["value"] for item in json.loads(root.answer)["defaults"]}


def _known_runout(case: dict[str, Any]) -> float | None:
    """The runout of the teeth as it was inspected; None where nobody measured it."""
    measured = case.get("measured", {})
    if measured.get("tir"):
        return parse(measured["tir"]).mm
    readings = [parse(text).mm for text in measured.get("tooth_readings") or ()]
    return max(readings) - min(readings) if readings else None


def _set_sides(card: Card, plan: Plan, case: dict[str, Any], wheel: Wheel | None) -> None:
    radius = (plan.diameter_nm or 0) / 2 / NM_PER_MM
    _travel(card, plan)
    card.passes, card.passes_refused = plan_passes(
        card.machine, card.unit, wheel, card.aim.infeed_nm, parse(case["allow"]["finish_radial"]).mm
    )
    if card.shape.get("primary_relief_deg") is None:
        return
    card.relief_rad = math.radians(card.shape["primary_relief_deg"])
    diameter_u = parse(case.get("uncertainty", {}).get("diameter", "0 mm")).mm
    _stylus(card, radius, diameter_u / 2, _helix_spread(card, plan))
    _drop(card, radius, land_mm(card.shape.get("primary_land"), card.option))


def _travel(card: Card, plan: Plan) -> None:
    """The sides are ground first, so the stop counts from the end as it stands, before the end is cut back."""
    if plan.usable_nm:
        card.travel_new_mm = plan.usable_nm / NM_PER_MM
        card.travel_mm = (plan.usable_nm + (plan.cut_back_nm or 0)) / NM_PER_MM


def _helix_spread(card: Card, plan: Plan) -> float:
    """Standard uncertainty in rad of a helix that was assumed, at the diameter after; 0 where it is known."""
    after = card.option["helix_deg"]
    assumed = [
        (item["value"], item["standard_uncertainty"])
        for item in json.loads(root_of(plan).answer)["defaults"]
        if item["field"] == "helix_deg"
    ]
    if "helix_deg" in card.aim.assumed:
        helix, _ = assume_helix(tool_of(card.aim.piece.line))
        assumed = [(helix.value, helix.standard_uncertainty)]
    return sum(find_helix_spread(*map(math.radians, (value, after, spread))) for value, spread in assumed)


def _stylus(card: Card, radius: float, radius_u: float, helix_u: float) -> None:
    relief, distance, agree = card.relief_rad or 0.0, card.machine.distance_mm, card.agree
    helix = find_helix_at(math.radians(card.option["helix_deg"]), min(1.0, 2 * radius / card.option["diameter_mm"]))
    card.helix_rad = helix
    card.pull_off = attempt(lambda: find_pull_off_ratio(relief))[0]
    stylus, card.stylus_refused = attempt(lambda: set_stylus(radius, relief, helix, distance, agree=agree))
    card.stylus = stylus
    if stylus:
        card.uncertainty, _ = attempt(
            lambda: find_setup_uncertainty(
                radius,
                stylus.tip_below_mm,
                helix,
                distance,
                agree=agree,
                tip_u_mm=TIP_U_MM,
                lag_distance_u_mm=DISTANCE_U_MM,
                radius_u_mm=radius_u,
                helix_u_rad=helix_u,
            )
        )


def land_mm(land: Any, option: dict[str, Any]) -> float | None:
    """The land that the indicator runs on: as it will be, or as it was where the secondary is ground again."""
    before: float | None = parse(land).mm if isinstance(land, str) else land
    return before if option.get("secondary_needed") else option.get("primary_land_mm") or before


def _drop(card: Card, radius: float, width_mm: float | None) -> None:
    """The drop over the longest usual distance that stays well on the land; none where no usual one does."""
    if width_mm is None or card.relief_rad is None:
        return
    relief, most = card.relief_rad, min(0.9 * width_mm, radius / 2)
    fitting = [over for over in INDICATOR_OVER_MM[card.unit] if over <= most]
    if fitting:
        over = fitting[-1]
        card.drop_over_mm = over
        card.drop, _ = attempt(
            lambda: aim_drop(relief, DROP_TOLERANCE_RAD, over, Way.TANGENT, radius, land_mm=width_mm)
        )


def what_changes(cards: Sequence[Card]) -> list[str]:
    """Between the cards of one tray: the names of the figures that are not the same on all."""
    figures: dict[str, set[object]] = {
        "the diameter": {
            card.plan and (card.plan.diameter_nm if set(RADIAL) & set(card.parts) else None) for card in cards
        },
        "the travel stop": {card.travel_mm and round(card.travel_mm, 4) for card in cards},
        "the stylus height": {card.stylus and round(card.stylus.tip_below_mm, 3) for card in cards},
        "the infeed": {card.aim.infeed_nm for card in cards},
        "what comes off end or point": {card.aim.end_nm for card in cards},
        "the passes": {(card.passes, card.end_passes, card.face_passes) for card in cards},
    }
    return [name for name, values in figures.items() if len(values) > 1]
