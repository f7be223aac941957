"""How many regrinds are left: counted as the plan counts, and by the rake of an assumed face beside it."""

import math
from typing import Any

from regrind.geometry.case import read
from regrind.geometry.cleanup import CutOption, list_options
from regrind.geometry.damage import Flank
from regrind.geometry.land import find_land
from regrind.geometry.life import count_regrinds_left
from regrind.geometry.section import Face, find_radius_of_rake, find_rake
from regrind.geometry.tool_state import ToolState, build_state

from . import formatting
from .fields import CalculatorForm
from .result import Figure, Table

MOST_ROWS = 8
SAME_MM = 1e-9


def count_regrinds(form: CalculatorForm, face: Face) -> list[Figure]:
    """Regrinds left by the hard limits as a plan counts them, and until the least rake where the face is assumed."""
    if form.mm_if("stock") is None:
        return []
    hard = count_regrinds_left(*_as_plan(form)) or 0
    weak, ends = _weak_radius(form, face), _describe_end(form, face, hard)
    if weak is None or not face.assumed:
        return [Figure("Regrinds left", str(hard), ends)]
    soft = max(0, math.floor((face.anchor_mm - weak) / form.mm("stock") + SAME_MM))
    if soft >= hard:
        return [Figure("Regrinds left", str(hard), f"{ends}; the rake holds as long")]
    return [
        Figure("Regrinds left", str(soft), f"the {_ordinal(soft + 1)} passes the least rake, on the assumed face"),
        Figure("By hard limits alone", str(hard), ends),
    ]


def _describe_end(form: CalculatorForm, face: Face, hard: int) -> str:
    """Which hard limit the first regrind too many would pass."""
    count = hard + 1
    x = form.mm("diameter") / 2 - count * form.mm("stock")
    past = [limit for limit in _past(form, face, x, count) if limit != "the least rake" or not face.assumed]
    if x <= face.core_mm + SAME_MM:
        past.append("the core")
    return f"the {_ordinal(count)} passes {' and '.join(past)}" if past else "counted by every hard limit"


def _ordinal(count: int) -> str:
    tens = count % 100 in (11, 12, 13)
    return f"{count}{'th' if tens else {1: 'st', 2: 'nd', 3: 'rd'}.get(count % 10, 'th')}"


def tabulate(form: CalculatorForm, face: Face, flank: Flank) -> Table | None:
    """The tooth regrind by regrind, up to the first that is past everything."""
    if form.mm_if("stock") is None:
        return None
    radius, unit, rows = form.mm("diameter") / 2, form.unit, list[list[str]]()
    for count in range(MOST_ROWS):
        x = radius - count * form.mm("stock")
        if x <= face.core_mm:
            break
        rake, land = find_rake(face, x), find_land(face, flank, radius, x)
        past = _past(form, face, x, count)
        rows.append(
            [
                str(count) if count else "now",
                formatting.size(2 * x, unit),
                "none" if rake is None else formatting.degrees(rake),
                "–" if land is None else formatting.size(land, unit),
                formatting.size(x - face.core_mm, unit),
                f"past {', '.join(past)}" if past else "inside",
            ]
        )
        if len(past) > 1:
            break
    head = ["Regrind", "Diameter", "Rake", "Land, left alone", "Flute depth", "Limits"]
    return Table(head, rows, "Regrind by regrind")


def _past(form: CalculatorForm, face: Face, x: float, count: int) -> list[str]:
    weak, past = _weak_radius(form, face), []
    if form.mm_if("least") and x < form.mm("least") / 2 - SAME_MM:
        past.append("the least diameter")
    if weak is not None and x < weak - SAME_MM:
        past.append("the least rake")
    usable = form.mm_if("usable")
    if usable and usable - count * form.mm("cut_back") < form.mm("least_usable") - SAME_MM:
        past.append("the least length")
    return past


def _weak_radius(form: CalculatorForm, face: Face) -> float | None:
    """The radius at which a curved face has come down to the least rake; the present one where it has already."""
    if not face.half_curvature:
        return None
    now = find_rake(face, face.anchor_mm)
    if now is not None and now < form.rad("least_rake"):
        return face.anchor_mm
    return find_radius_of_rake(face, form.rad("least_rake"))


def _as_plan(form: CalculatorForm) -> tuple[ToolState, CutOption]:
    """The tool as an undamaged case of the plan, so that the one way of counting answers."""

    def text(name: str, otherwise: str = "0 mm") -> str:
        typed = form.cleaned_data[name]
        return f"{typed.nm // 1_000_000}.{typed.nm % 1_000_000:06d} mm" if typed else otherwise

    tool: dict[str, Any] = {
        "kind": "end mill",
        "teeth": 2,
        "nominal_diameter": text("diameter"),
        "core_diameter": text("core"),
        "flute_length": text("usable", "1000 mm"),
        "rake_deg": form.cleaned_data["rake"] / 100,
        "sides_ground_before": True,
    }
    if form.cleaned_data["arc"]:
        tool["face_arc_radius"] = text("arc")
    case = read(
        {
            "tool": tool,
            "measured": {"diameter": text("diameter"), "method": "swept"},
            "damage": [],
            "allow": dict.fromkeys(("finish_radial", "finish_end", "stylus_distance"), "0 mm"),
            "limits": {
                "rake_deg": form.cleaned_data["least_rake"] / 100,
                "diameter": text("least"),
                "usable_length": text("least_usable"),
            },
            "typical": {
                "stock_radial": text("stock"),
                "cut_back": text("cut_back") if form.mm_if("usable") else "0 mm",
            },
        }
    )
    tool_state = build_state(case)
    return tool_state, list_options(tool_state)[0]
