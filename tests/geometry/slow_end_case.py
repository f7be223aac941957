"""A valid case with a corner, end teeth or faces as plain values, for the slow model; written from the papers alone."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from fractions import Fraction

from tests.geometry.slow_case import Case, read_case
from tests.geometry.slow_corner import Corner
from tests.geometry.slow_lengths import length_mm


@dataclass(frozen=True)
class SideMark:
    """A mark on a tooth (from 0), in mm and degrees; what is not given is None."""

    tooth: int
    start: float | None
    to: float | None
    arc: tuple[float, float] | None
    depth: float | None
    wear_land: float | None
    back: float | None


@dataclass(frozen=True)
class EndMark:
    """A mark on the end, of one tooth or of whichever is shortest (None)."""

    tooth: int | None
    depth: float | None
    wear_land: float | None


@dataclass(frozen=True)
class EndCase:
    """The plain case with its damage taken out, and all that it does not know."""

    plain: Case
    kind: str
    corner: Corner
    accept: tuple[Corner, ...]
    ways: tuple[str, ...]
    marks: tuple[SideMark, ...]
    ends: tuple[EndMark, ...]
    tool: dict
    end_readings: tuple[float, ...] | None
    finish_face: float
    gash_left: float
    limits: dict
    spread: dict
    back: float


def read_end_case(case: dict) -> EndCase:
    plain, tool, allow = copy.deepcopy(case), case["tool"], case["allow"]
    damage = plain.pop("damage", [])
    kept = {"relief_deg", "tooth_width"}
    limits = {key: value for key, value in plain.get("limits", {}).items() if key not in kept}
    plain["limits"] = limits
    readings = case["measured"].get("end_readings")
    return EndCase(
        read_case(plain),
        tool["kind"],
        _corner(tool.get("corner", {"form": "square"})),
        tuple(map(_corner, case.get("accept", []))),
        tuple(case.get("ways", ["flank"])),
        tuple(_side(d) for d in damage if not _is_end(d)),
        tuple(_end(d) for d in damage if _is_end(d)),
        tool,
        None if readings is None else tuple(map(mm, readings)),
        mm(allow.get("finish_face", "0 mm")),
        mm(allow.get("gash_left", "0 mm")),
        case.get("limits", {}),
        case.get("uncertainty", {}),
        mm(case.get("typical", {}).get("back", "0 mm")),
    )


def mm(text: str | None) -> float | None:
    return None if text is None else float(length_mm(text))


def exact(value: float) -> Fraction:
    return Fraction(value)


def _corner(told: dict) -> Corner:
    return Corner(told["form"], mm(told.get("radius", told.get("width"))) or 0.0)


def _is_end(damage: dict) -> bool:
    return "end_depth" in damage or "end_wear_land" in damage


def _side(damage: dict) -> SideMark:
    arc = (damage["from_deg"], damage["to_deg"]) if "to_deg" in damage else None
    return SideMark(
        damage["tooth"] - 1,
        mm(damage.get("from")),
        mm(damage.get("to")),
        arc,
        mm(damage.get("depth")),
        mm(damage.get("wear_land")),
        mm(damage.get("back")),
    )


def _end(damage: dict) -> EndMark:
    tooth = damage.get("tooth")
    return EndMark(None if tooth is None else tooth - 1, mm(damage.get("end_depth")), mm(damage.get("end_wear_land")))
