"""Spoils the keys of corner, end teeth and face grinding in the valid case of `case_spoiler`, one place at a time."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator

from tests.geometry.case_spoiler import BASE, Spoiled, changed, spoil


def spoiled_ends() -> Iterator[Spoiled]:
    """Every spoiled case, in a fixed order."""
    for source in (_corners, _arcs, _end_teeth, _faces):
        yield from source()


def _merged(*changes: tuple[tuple, object]) -> str:
    """The base case with several places changed; a value of None takes the key out."""
    case = copy.deepcopy(BASE)
    for path, value in changes:
        holder = case
        for step in path[:-1]:
            holder = holder[step]
        if value is None:
            holder.pop(path[-1])
        else:
            holder[path[-1]] = value
    return json.dumps(case)


def _corners() -> Iterator[Spoiled]:
    """The highest tooth's radius is 4.991 mm as the case stands, the lowest's 4.987, the core's 3."""
    corner = ("tool", "corner")
    for value, field in (
        ({}, "form"),
        ({"form": "bevel"}, "form"),
        ({"form": "radius"}, "radius"),
        ({"form": "chamfer"}, "width"),
        ({"form": "radius", "radius": "0 mm"}, "radius"),
        ({"form": "radius", "radius": "4.987 mm"}, "radius"),
        ({"form": "ball", "radius": "1 mm"}, "radius"),
        ({"form": "chamfer", "width": "1 mm", "radius": "1 mm"}, "radius"),
        ({"form": "chamfer", "width": "1.987 mm"}, "width"),
        ({"form": "square", "width": "1 mm"}, "width"),
    ):
        yield Spoiled(f"corner {value}", json.dumps(changed(corner, value)), field + "|from_deg|accept|form")
    radius, chamfer = {"form": "radius", "radius": "1.5 mm"}, {"form": "chamfer", "width": "1 mm"}
    for own, accept in (
        (BASE["tool"]["corner"], [chamfer]),
        (BASE["tool"]["corner"], [BASE["tool"]["corner"]]),
        (BASE["tool"]["corner"], [radius, radius]),
        (BASE["tool"]["corner"], [{"form": "square"}]),
        (BASE["tool"]["corner"], [{"form": "ball"}]),
        ({"form": "ball"}, [{"form": "ball"}]),
        (BASE["tool"]["corner"], [{"form": "radius", "radius": "5 mm"}]),
        (BASE["tool"]["corner"], ["radius"]),
    ):
        text = _merged((corner, own), (("accept",), accept))
        yield Spoiled(f"{own} may become {accept}", text, "accept|form|radius")
    for own, accept in ((chamfer, radius), ({"form": "square"}, {"form": "ball"})):
        text = _merged((corner, own), (("accept",), [accept]), (("damage",), []))
        yield Spoiled(f"{own} may become {accept}", text, "accept|form")
    yield Spoiled("no list", json.dumps(changed(("accept",), {"form": "radius"})), "accept")


def _arcs() -> Iterator[Spoiled]:
    mark = ("damage", 3)
    for key, value in (("from_deg", -0.1), ("to_deg", 90.1), ("from_deg", 70.1)):
        yield Spoiled(f"{key} {value}", json.dumps(changed((*mark, key), value)), "from_deg|to_deg")
    yield Spoiled("from_deg alone", json.dumps(changed((*mark, "to_deg"), None, drop=True)), "to_deg")
    yield Spoiled("to_deg alone", json.dumps(changed((*mark, "from_deg"), None, drop=True)), "from_deg")
    yield Spoiled("from and from_deg", json.dumps(changed((*mark, "from"), "0 mm")), "from|from_deg")
    for text in ("1 mm", "1.2 mm"):
        yield Spoiled("as deep as the arc", json.dumps(changed((*mark, "depth"), text)), "depth")
    for own in ({"form": "square"}, {"form": "chamfer", "width": "1 mm"}):
        text = _merged((("tool", "corner"), own), (("accept",), None))
        yield Spoiled(f"degrees on {own}", text, "from_deg|to_deg")


def _end_teeth() -> Iterator[Spoiled]:
    for key, values in (
        ("dish_deg", (-0.1, 15.1)),
        ("dish_to_deg", (-0.1, 15.1)),
        ("end_primary_relief_deg", (-1, 45.1)),
        ("end_secondary_relief_deg", (7, 6, 45.1)),
        ("end_rake_deg", (-30.1, 40.1)),
        ("end_inner_radius", ("4.987 mm", "6 mm")),
        ("new_flute_length", ("21.999 mm", "0 mm")),
    ):
        for value in values:
            yield spoil("end teeth", ("tool", key), value)
    without = changed(("tool", "dish_deg"), None, drop=True)
    yield Spoiled("a dish to grind to, none as it is", json.dumps(without), "dish_to_deg|dish_deg")
    for key in ("end_primary_relief_deg", "end_rake_deg"):
        text = _merged((("tool", key), None))
        yield Spoiled(f"an end wear land without {key}", text, f"end_wear_land|{key}")
    yield Spoiled("both", json.dumps(changed(("damage", 4, "end_depth"), "0.1 mm")), "end_depth|end_wear_land")
    yield Spoiled("too few", json.dumps(changed(("measured", "end_readings"), ["0 mm"])), "end_readings")
    yield Spoiled("none longest", json.dumps(changed(("measured", "end_readings"), ["-1 um"] * 4)), "end_readings")


def _faces() -> Iterator[Spoiled]:
    for value in ([], ["face", "face"], ["end"], ["flank", "face", "face"], [1], [["face"]]):
        yield Spoiled(f"ways {value}", json.dumps(changed(("ways",), value)), "ways")
    for kind in ("roughing end mill", "form cutter"):
        for ways in (["flank"], ["flank", "face"], None):
            text = _merged((("tool", "kind"), kind), (("ways",), ways))
            yield Spoiled(f"a {kind} by {ways}", text, "ways")
    yield spoil("relief form", ("tool", "relief_form"), "round")
    for key in ("rake_deg", "primary_relief_deg", "primary_land"):
        yield Spoiled(f"a face without {key}", _merged((("tool", key), None)), key)
    alone = (("ways",), ["face"])
    text = _merged(alone, (("accept",), None))
    yield Spoiled("a depth where the face alone is ground", text, "back|damage")
    text = _merged((("damage", 3, "depth"), None))
    yield Spoiled("how far back alone, with the flank", text, "depth|wear_land")
    for key in ("relief_deg", "tooth_width"):
        text = _merged((("tool", "tooth_width"), None), (("limits",), {key: BASE["limits"][key]}))
        yield Spoiled(f"a limit of {key} without the width of the tooth", text, f"{key}|tooth_width")
    for changes in (
        [(("ways",), ["flank"]), (("accept",), None)],
        [(("tool", "corner"), {"form": "square"}), (("ways",), ["flank"])],
        [(("tool", "corner"), {"form": "square"}), (("accept",), None)],
    ):
        text = _merged((("measured", "tooth_readings"), None), (("measured", "tir"), "4 um"), *changes)
        yield Spoiled("one total reading", text, "tir|from_deg")
