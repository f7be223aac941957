"""Countersinks by a drawn cone that is turned, taps by counting threads."""

from __future__ import annotations

import math

from tests.geometry.kinds.slow_common import SAME, Inputs, Option, answer, mm

# DIN 2197, threads in the chamfer (shared/29_kinds_published.csv)
FORMS = {"A": (6, 8), "B": (3.5, 5.5), "C": (2, 3), "D": (3.5, 5), "E": (1.5, 2), "F": (1, 1.5)}


def marks_of(case: dict) -> tuple[Inputs, Inputs]:
    inputs, spread = {}, {}
    for number, mark in enumerate(case.get("damage", [])):
        (what,) = set(mark) - {"what"}
        inputs[str(number)] = mm(mark[what])
        spread[str(number)] = mm(case.get("uncertainty", {}).get("damage"))
    return inputs, spread


def ground_off(marks: Inputs, finish: float) -> list:
    """Rules for the stock: one for each mark that is as deep as the deepest; nothing where all are 0."""
    most = max(marks.values(), default=0.0)
    if not most:
        return [lambda y: 0.0]
    return [lambda y, n=name: y[n] + finish for name, depth in marks.items() if most - depth <= SAME]


def answer_countersink(case: dict) -> dict:
    tool, given = case["tool"], case.get("uncertainty", {})
    marks, spread = marks_of(case)
    inputs = {
        **marks,
        "D": mm(case["measured"]["diameter"]),
        "T": mm(tool.get("tooth_thickness")),
        "relief": math.radians(tool.get("relief_deg", 10)),
    }
    spread |= {
        "D": mm(given.get("diameter")),
        "T": mm(given.get("tooth_thickness")),
        "relief": 0.0 if "relief_deg" in tool else math.radians(3),
    }
    stocks = ground_off(marks, mm(case["allow"]["finish"]))

    def turned(y: Inputs, radius: float, stock: float) -> float:
        """A point of the cone's edge once the tool is turned by the stock at the rim: all radii fall alike."""
        rim = y["D"] / 2
        slope_per_radian = rim * math.tan(y["relief"])
        return radius - slope_per_radian * (stock / rim)

    checks = {"diameter": [lambda y, s=s: 2 * turned(y, y["D"] / 2, s(y)) for s in stocks]}
    if "tooth_thickness" in tool:
        checks["tooth_thickness"] = [lambda y, s=s: y["T"] - s(y) for s in stocks]
    now = {name: rules[0](inputs) for name, rules in checks.items()}
    if any(value <= SAME for value in now.values()):
        return answer([], case, inputs, spread, "face_stock")
    stock, rim = stocks[0](inputs), inputs["D"] / 2
    # two points of the cone's edge, before and after: the height at which the old rim's radius is met again
    half = math.radians(tool["included_angle_deg"] / 2)
    heights = [radius / math.tan(half) for radius in (rim / 2, rim)]
    radii = [turned(inputs, radius, stock) for radius in (rim / 2, rim)]
    steep = (heights[1] - heights[0]) / (radii[1] - radii[0])
    option = Option(
        ["face"] if stock else [],
        {
            "face_stock_mm": stock,
            "diameter_mm": now["diameter"],
            "set_back_mm": heights[1] + (rim - radii[1]) * steep - heights[1],
            "tooth_thickness_mm": now.get("tooth_thickness"),
            "index_deg": stock / (math.pi * inputs["D"]) * 360,
            "included_angle_deg": 2 * math.degrees(math.atan(1 / steep)),
        },
        checks,
    )
    option.hard = {"tooth_thickness"}
    if "relief_deg" not in tool:
        option.line_asks["diameter"] = ["rests_on_default_relief_deg"]
    typical = mm(case.get("typical", {}).get("face_stock"))
    fall = {"diameter": 2 * (rim - turned(inputs, rim, typical)), "tooth_thickness": typical}
    option.after = lambda count: {name: value - count * fall[name] for name, value in now.items()}
    return answer([option], case, inputs, spread, "face_stock")


COARSE = {3: 0.5, 4: 0.7, 5: 0.8, 6: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 16: 2.0, 20: 2.5, 24: 3.0}


def thread_of(text: str) -> tuple[float, float, float | None]:
    if text.startswith("M"):
        size, _, pitch = text[1:].partition("x")
        return float(size), float(pitch) if pitch else COARSE[int(size)], None
    size, count = text.removesuffix(" UNC").removesuffix(" UNF").rsplit("-", 1)
    if size.startswith("#"):
        return (0.060 + 0.013 * int(size[1:])) * 25.4, 25.4 / float(count), float(count)
    over, _, under = size.partition("/")
    return int(over) / int(under or 1) * 25.4, 25.4 / float(count), float(count)


def answer_tap(case: dict) -> dict:
    case = {"measured": {}, **case}
    tool = case["tool"]
    marks, spread = marks_of(case)
    length, chamfer = mm(tool["thread_length"]), mm(tool["chamfer_length"])
    diameter, pitch, count = thread_of(tool["thread"])
    cut = ground_off(marks, mm(case["allow"]["finish"]))[0](marks)
    full = length - cut - chamfer
    if full <= SAME:
        return answer([], case, marks, spread, "cut_back")
    # count the threads on the chamfer one by one, the last in part
    whole = 0
    while (whole + 1) * pitch <= chamfer:
        whole += 1
    threads = whole + (chamfer - whole * pitch) / pitch
    forms = [form for form, (low, high) in FORMS.items() if round(low - threads, 9) <= 0 <= round(high - threads, 9)]
    if not tool.get("spiral_point"):
        forms = [form for form in forms if form != "B"]
    angle = None
    if "chamfer_diameter" in tool:
        angle = math.degrees(math.atan2(diameter - mm(tool["chamfer_diameter"]), 2 * chamfer))
    option = Option(
        ["end", "chamfer"] if cut else [],
        {
            "cut_back_mm": cut,
            "thread_diameter_mm": diameter,
            "pitch_mm": pitch,
            "full_thread_mm": full,
            "threads_per_inch": count,
            "chamfer_threads": threads,
            "chamfer_forms": forms,
            "chamfer_angle_deg": angle,
        },
        {},
    )
    option.asks = ["by_hand"]
    typical = mm(case.get("typical", {}).get("cut_back"))
    option.after = lambda number: {"full_thread": full - number * typical}
    return answer([option], case, marks, spread, "cut_back")
