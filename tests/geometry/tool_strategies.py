"""Hypothesis strategies for whole cases, as the JSON of the headless plan has them; lengths on whole nanometres."""

import copy
from decimal import Decimal

from hypothesis import strategies as st


def mm(nm: int) -> str:
    """Whole nanometres as a text in mm, exactly."""
    return f"{Decimal(nm) / 1_000_000:f} mm"


@st.composite
def tools(draw, *, whole: bool = True) -> dict:
    """A tool with its measured diameter in the right order of magnitude; with `whole`, nothing is left out."""
    nominal = draw(st.integers(1_000_000, 25_000_000))
    primary = draw(st.integers(4, 20))
    tool = {
        "kind": "end mill",
        "teeth": draw(st.integers(2, 8)),
        "nominal_diameter": mm(nominal),
        "flute_length": mm(3 * nominal),
        "helix_deg": draw(st.sampled_from([0, 15, 30, 38.5, 55])),
        "core_diameter": mm(nominal * draw(st.integers(40, 70)) // 100),
        "rake_deg": draw(st.integers(-8, 18)),
        "primary_relief_deg": primary,
        "secondary_relief_deg": draw(st.one_of(st.none(), st.integers(primary + 3, primary + 14))),
        "primary_land": mm(nominal * draw(st.integers(1, 10)) // 100),
    }
    if draw(st.booleans()):
        tool["face_arc_radius"] = mm(nominal * draw(st.integers(15, 60)) // 100)
    if draw(st.booleans()):
        tool["sides_ground_before"] = draw(st.booleans())
    if not whole:
        for key in (
            "helix_deg",
            "core_diameter",
            "rake_deg",
            "primary_relief_deg",
            "secondary_relief_deg",
            "primary_land",
        ):
            if draw(st.booleans()):
                del tool[key]
    return tool


@st.composite
def measurements(draw, tool: dict) -> dict:
    """A diameter near nominal by a method that fits the teeth, with readings, a total reading or neither."""
    nominal = int(Decimal(tool["nominal_diameter"].split()[0]) * 1_000_000)
    teeth = tool["teeth"]
    method = draw(st.sampled_from(["swept", "v-anvil" if teeth % 2 else "micrometer"]))
    found = {"diameter": mm(nominal - draw(st.integers(0, nominal // 40))), "method": method}
    how = draw(st.sampled_from(["readings", "tir", "alike"]))
    if how == "readings":
        readings = [-1000 * draw(st.integers(0, 12)) for _ in range(teeth)]
        found["tooth_readings"] = [mm(reading - max(readings)) for reading in readings]
    if how == "tir":
        found["tir"] = mm(1000 * draw(st.integers(0, 15)))
    return found


@st.composite
def marks(draw, tool: dict) -> dict:
    """A mark on the sides or on the end, shallow enough to leave the core alone."""
    nominal = int(Decimal(tool["nominal_diameter"].split()[0]) * 1_000_000)
    if draw(st.integers(0, 4)) == 0:
        return {"end_depth": mm(draw(st.integers(0, nominal // 2))), "what": "end wear"}
    start, to = sorted(draw(st.integers(0, 300)) * nominal // 100 for _ in range(2))
    mark = {"tooth": draw(st.integers(1, tool["teeth"])), "from": mm(start), "to": mm(to), "what": "chip"}
    if draw(st.booleans()):
        return mark | {"depth": mm(draw(st.integers(0, nominal // 40)))}
    return mark | {"wear_land": mm(draw(st.integers(0, nominal // 30)))}


@st.composite
def cases(draw, *, whole: bool = True, uncertain: bool = True) -> dict:
    """A case; with `uncertain` also standard uncertainties."""
    tool = draw(tools(whole=whole))
    nominal = int(Decimal(tool["nominal_diameter"].split()[0]) * 1_000_000)
    case = {
        "tool": tool,
        "measured": draw(measurements(tool)),
        "damage": draw(st.lists(marks(tool), max_size=5)),
        "allow": {
            "finish_radial": mm(1000 * draw(st.integers(0, 20))),
            "finish_end": mm(1000 * draw(st.integers(0, 60))),
            "stylus_distance": mm(nominal * draw(st.integers(0, 40)) // 100),
        },
        "limits": {
            "diameter": mm(nominal * draw(st.integers(85, 100)) // 100),
            "rake_deg": draw(st.integers(-8, 10)),
            "flute_depth": mm(nominal * draw(st.integers(5, 30)) // 100),
            "usable_length": mm(nominal * draw(st.integers(50, 290)) // 100),
            "published_reduction": draw(st.booleans()),
        },
        "typical": {
            "stock_radial": mm(nominal * draw(st.integers(0, 4)) // 200),
            "cut_back": mm(nominal * draw(st.integers(0, 4)) // 100),
        },
    }
    if uncertain:
        case["uncertainty"] = {
            key: mm(100 * draw(st.integers(0, 60)))
            for key in ("diameter", "tooth_reading", "depth", "wear_land", "core_diameter", "flute_length")
        } | {"rake_deg": draw(st.sampled_from([0, 0.5, 1, 2]))}
    return case


def change(case: dict, path: str, value: object) -> dict:
    """A copy of `case` with the value at a dotted path set, list places by number."""
    copied = copy.deepcopy(case)
    *way, last = path.split(".")
    at = copied
    for key in way:
        at = at[int(key)] if isinstance(at, list) else at[key]
    if isinstance(at, list):
        at[int(last)] = value
    else:
        at[last] = value
    return copied
