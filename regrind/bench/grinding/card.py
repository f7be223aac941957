"""The setup card: all that is set once for a tray, worked out from the stored plan, the wheel and the rest's place.

Lengths are millimetres, angles radians; a figure that cannot be had is None and the reason stands beside it.
"""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from regrind.geometry.drills import find_helix_at
from regrind.geometry.lag import (
    SetupUncertainty,
    StylusSetup,
    find_setup_uncertainty,
    hands_agree,
    needs_mirrored_setup,
    set_stylus,
)
from regrind.geometry.land import find_helix_spread
from regrind.geometry.passes import Passes, plan_passes
from regrind.geometry.relief import DropAim, Way, aim_drop
from regrind.geometry.setup import find_pull_off_ratio
from regrind.geometry.units import Unit, parse, show_fine, to_nm
from regrind.shop.models import Wheel

from ..models import Plan
from ..planning.words import say_field
from .prefill import Aim, option_of, root_of
from .wheel import attempt, most_infeed_mm

DROP_TOLERANCE_RAD = math.radians(1)  # common practice: primary relief within a degree
DISTANCE_U_MM = 0.05  # assumed: how surely a stylus is set along the axis (k = 1)
TIP_U_MM = 0.01  # assumed: how surely its height is set (k = 1)
FINISH_SHARE = 0.5  # of the roughing infeed a pass: common practice, from memory
INDICATOR_OVER_MM = {"in": (0.127, 0.1905, 0.254, 0.381, 0.508, 0.762), "mm": (0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.8)}


@dataclass
class Card:
    """What is set for the pieces of one plan. `assumed`: fields that rest on a default."""

    aim: Aim
    option: dict[str, Any] = field(default_factory=dict)
    relief_rad: float | None = None
    stylus: StylusSetup | None = None
    sure: SetupUncertainty | None = None
    stylus_refused: str = ""
    pull_off: float | None = None
    drop: DropAim | None = None
    drop_over_mm: float | None = None
    passes: Passes | None = None
    passes_refused: str = ""
    travel_mm: float | None = None
    travel_new_mm: float | None = None
    assumed: tuple[str, ...] = ()
    mirrored: bool = False
    agree: bool = True
    unit: Unit = "in"

    @property
    def plan(self) -> Plan | None:
        return self.aim.plan

    @property
    def tip_mm(self) -> float | None:
        """How far the tip stands from the tool's centre; the page says above or below."""
        return abs(self.stylus.tip_below_mm) if self.stylus else None

    @property
    def relief_deg(self) -> float | None:
        return math.degrees(self.relief_rad) if self.relief_rad is not None else None

    @property
    def lag_deg(self) -> float | None:
        return math.degrees(self.stylus.lag_rad) if self.stylus else None

    @property
    def ignoring_deg(self) -> float | None:
        return math.degrees(self.stylus.relief_ignoring_lag_rad) if self.stylus else None

    @property
    def per_step_deg(self) -> float | None:
        """What a quarter of a millimetre (.010 in) of the stylus' distance is worth in relief."""
        step_mm = 0.254 if self.unit == "in" else 0.25
        return abs(math.degrees(self.stylus.relief_per_distance_rad_mm)) * step_mm if self.stylus else None

    @property
    def rough_words(self) -> str:
        return self._fine(self.passes.rough_infeed_radial_mm) if self.passes else ""

    @property
    def finish_words(self) -> str:
        return self._fine(self.passes.finish_infeed_radial_mm) if self.passes else ""

    def _fine(self, mm: float) -> str:
        """An infeed to a tenth of what the dial shows: rounded further, the passes would not add up."""
        return show_fine(to_nm(mm), self.unit)

    @property
    def sure_deg(self) -> float | None:
        return 2 * math.degrees(self.sure.relief_rad) if self.sure else None

    @property
    def assumed_words(self) -> list[str]:
        return [say_field(name) for name in self.assumed]


def set_up(aim: Aim, wheel: Wheel | None, distance_mm: float, unit: Unit) -> Card:
    """The card of one plan. distance_mm: from the wheel's contact to the stylus, along the axis."""
    plan = aim.plan
    option = option_of(plan) if plan else {}
    card = Card(aim, option, unit=unit)
    if plan is None or not option or not plan.diameter_nm:
        return card
    case, defaults = _stored(plan)
    tool = case["tool"]
    shape = {name: tool.get(name, defaults.get(name)) for name in ("primary_relief_deg", "primary_land")}
    card.assumed = tuple(sorted(defaults))
    cut, helix = tool.get("hand_of_cut", "right"), tool.get("hand_of_helix", "right")
    card.mirrored, card.agree = needs_mirrored_setup(cut), hands_agree(cut, helix)
    _travel(card, plan)
    if "sides" in aim.parts and shape["primary_relief_deg"] is not None:
        radius = plan.diameter_nm / 2e6
        card.relief_rad = math.radians(shape["primary_relief_deg"])
        diameter_u = parse(case.get("uncertainty", {}).get("diameter", "0 mm")).mm
        _stylus(card, radius, distance_mm, diameter_u / 2, _helix_spread(plan, option))
        _drop(card, radius, _land_mm(shape["primary_land"], option), unit)
        _passes(card, wheel, parse(case["allow"]["finish_radial"]).mm)
    return card


def _stored(plan: Plan) -> tuple[dict[str, Any], dict[str, Any]]:
    root = root_of(plan)
    answer = json.loads(root.answer)
    return json.loads(root.case), {item["field"]: item["value"] for item in answer["defaults"]}


def _travel(card: Card, plan: Plan) -> None:
    """The sides are ground first, so the stop counts from the end as it stands, before the end is cut back."""
    if plan.usable_nm and "sides" in card.aim.parts:
        card.travel_new_mm = plan.usable_nm / 1e6
        card.travel_mm = (plan.usable_nm + (plan.cut_back_nm or 0)) / 1e6


def _helix_spread(plan: Plan, option: dict[str, Any]) -> float:
    """Standard uncertainty in rad of a helix that was assumed, at the diameter after; 0 where it is known."""
    assumed = [item for item in json.loads(root_of(plan).answer)["defaults"] if item["field"] == "helix_deg"]
    return sum(
        find_helix_spread(*map(math.radians, (item["value"], option["helix_deg"], item["standard_uncertainty"])))
        for item in assumed
    )


def _stylus(card: Card, radius: float, distance_mm: float, radius_u: float, helix_u: float) -> None:
    assert card.relief_rad is not None
    helix = find_helix_at(math.radians(card.option["helix_deg"]), min(1.0, 2 * radius / card.option["diameter_mm"]))
    card.pull_off = attempt(lambda: find_pull_off_ratio(card.relief_rad or 0))[0]
    card.stylus, card.stylus_refused = attempt(
        lambda: set_stylus(radius, card.relief_rad or 0, helix, distance_mm, agree=card.agree)
    )
    if card.stylus:
        tip = card.stylus.tip_below_mm
        card.sure, _ = attempt(
            lambda: find_setup_uncertainty(
                radius,
                tip,
                helix,
                distance_mm,
                agree=card.agree,
                tip_u_mm=TIP_U_MM,
                lag_distance_u_mm=DISTANCE_U_MM,
                radius_u_mm=radius_u,
                helix_u_rad=helix_u,
            )
        )


def _land_mm(land: Any, option: dict[str, Any]) -> float | None:
    """The land that the indicator runs on: as it will be, or as it was where the secondary is ground again."""
    before = parse(land).mm if isinstance(land, str) else land
    return before if option.get("secondary_needed") else option.get("primary_land_mm") or before


def _drop(card: Card, radius: float, land_mm: float | None, unit: Unit) -> None:
    if land_mm is None or card.relief_rad is None:
        return
    most = min(0.9 * land_mm, radius / 2)
    fitting = [mm for mm in INDICATOR_OVER_MM.get(unit, INDICATOR_OVER_MM["mm"]) if mm <= most]
    if fitting:
        over, relief = fitting[-1], card.relief_rad
        card.drop_over_mm = over
        card.drop, _ = attempt(lambda: aim_drop(relief, DROP_TOLERANCE_RAD, over, Way.TANGENT, radius, land_mm=land_mm))


def _passes(card: Card, wheel: Wheel | None, finish_mm: float) -> None:
    most = most_infeed_mm(wheel)
    if most is None:
        card.passes_refused = "no infeed is known for this wheel's grit: as its maker says"
        return
    stock = (card.aim.infeed_nm or 0) / 1e6
    card.passes, card.passes_refused = attempt(
        lambda: plan_passes(stock, min(finish_mm, stock), most, FINISH_SHARE * most, spark_out=1)
    )


def what_changes(cards: Sequence[Card]) -> list[str]:
    """Between the cards of one tray: the names of the figures that are not the same on all."""
    figures: dict[str, set[object]] = {
        "the diameter": set(),
        "the travel stop": set(),
        "the stylus height": set(),
        "the infeed": set(),
        "the end": set(),
    }
    for card in cards:
        plan = card.plan
        figures["the diameter"].add(plan and plan.diameter_nm)
        figures["the travel stop"].add(card.travel_mm and round(card.travel_mm, 4))
        figures["the stylus height"].add(card.stylus and round(card.stylus.tip_below_mm, 3))
        figures["the infeed"].add(card.aim.infeed_nm)
        figures["the end"].add(card.aim.end_nm)
    return [name for name, values in figures.items() if len(values) > 1]
