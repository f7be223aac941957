"""What a case must hold among its values: ranges, and what fits together. `case.read` and a built case share it."""

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.fields import Problems
from regrind.geometry.given import Case, EndMark, Mark, Measured, Tool
from regrind.geometry.present import stand
from regrind.geometry.units import LONGEST_NM

Refuse = Callable[[str, str], None]     # key, message
ABOVE_ZERO = {"tool.nominal_diameter", "tool.flute_length", "tool.core_diameter", "tool.face_arc_radius",
              "measured.diameter"}
DEGREES = {"tool.helix_deg": (0, 70), "tool.rake_deg": (-30, 40), "tool.primary_relief_deg": (0, 45),
           "tool.secondary_relief_deg": (0, 45), "limits.rake_deg": (-89, 89), "uncertainty.rake_deg": (0, 90)}
LEAST_TEETH, MOST_TEETH = 2, 99


def see_possible(case: Case) -> None:
    """See that a case built of values can be, as `case.read` sees to one that was read.

    Raises Refused: `field` is the first fault's dotted path as in the case's JSON (`tool.core_diameter`; of a mark its
    `field` and the key), `message` what is wrong and what is allowed, `others` the further faults.

    >>> from regrind.geometry.example import read_example
    >>> see_possible(read_example())
    """
    problems: Problems = []
    for room in ("tool", "measured", "allow", "limits", "uncertainty", "typical"):
        _see_ranges(room, getattr(case, room), problems)
    if not LEAST_TEETH <= case.tool.teeth <= MOST_TEETH:
        problems.append(("tool.teeth", f"must be a whole number from {LEAST_TEETH} to {MOST_TEETH}"))
    see_reliefs(case.tool, _under("tool", problems))
    see_method(case.measured, case.tool, _under("measured", problems))
    _see_runout(case.measured, case.tool, _under("measured", problems))
    for mark in case.marks:
        _see_mark(mark, case.tool, _under(mark.field, problems))
    for n, end in enumerate(case.end_marks, len(case.marks)):
        _see_end(end, case.tool, _under(f"damage[{n}]", problems))
    if problems:
        raise Refused.of(problems)
    stand(case)


def _under(path: str, problems: Problems) -> Refuse:
    return lambda key, message: problems.append((f"{path}.{key}", message))


def _see_ranges(room: str, part: Any, problems: Problems) -> None:
    """The range of every length and angle of one part; what is None was not said."""
    for field in dataclasses.fields(part) if part is not None else ():
        path, value = f"{room}.{field.name.removesuffix('_nm')}", getattr(part, field.name)
        if field.name.endswith("_nm") and isinstance(value, int):
            _see_length(path, value, problems, above_zero=path in ABOVE_ZERO)
        elif path in DEGREES and value is not None and not DEGREES[path][0] <= value <= DEGREES[path][1]:
            problems.append((path, f"must be from {DEGREES[path][0]:g} to {DEGREES[path][1]:g} degrees"))


def _see_length(path: str, nm: int, problems: Problems, *, above_zero: bool = False) -> None:
    if not (1 if above_zero else 0) <= nm <= LONGEST_NM:
        span = "above 0 and at most 10 m" if above_zero else "from 0 to 10 m"
        problems.append((path, f"is out of range: must be {span}"))


def see_reliefs(tool: Tool, refuse: Refuse) -> None:
    """The secondary relief lies above the primary, and one fits above a primary that stands alone. Degrees.

    >>> see_reliefs(Tool("end mill", 4, 1, 1, primary_relief_deg=12, secondary_relief_deg=10), print)
    secondary_relief_deg must be above the primary relief, 12 and at most 45 degrees, or null for one relief
    """
    primary, secondary = tool.primary_relief_deg, tool.secondary_relief_deg
    if secondary is not None and secondary <= (primary or 0):
        above = "0" if primary is None else f"the primary relief, {primary:g}"
        refuse("secondary_relief_deg", f"must be above {above} and at most 45 degrees, or null for one relief")
    if secondary is None and primary == 45 and not tool.one_relief:
        refuse("secondary_relief_deg", "is left out, and none fits above a primary of 45: give null or both")


def see_method(measured: Measured, tool: Tool, refuse: Refuse) -> None:
    """The way of measuring fits the number of teeth (nothing is said where that is 0) and their spacing.

    >>> see_method(Measured(6_350_000, "micrometer"), Tool("end mill", 3, 6_350_000, 1), print)
    method "micrometer" needs teeth opposite, not 3: must be "v-anvil" or "swept"
    """
    method = measured.method
    if not tool.teeth or method == "swept":
        return
    odd = tool.teeth % 2 == 1
    if tool.unequal_index:
        refuse("method", f'"{method}" does not measure a tool of unequal index: must be "swept"')
    elif odd and method == "micrometer":
        refuse("method", f'"micrometer" needs teeth opposite, not {tool.teeth}: must be "v-anvil" or "swept"')
    elif not odd and method == "v-anvil":
        refuse("method", f'"v-anvil" needs odd teeth, not {tool.teeth}: must be "micrometer" or "swept"')


def _see_runout(measured: Measured, tool: Tool, refuse: Refuse) -> None:
    readings = measured.tooth_readings_nm
    if readings is None:
        return
    if measured.tir_nm is not None:
        refuse("tir", "cannot stand beside tooth_readings: give one of the two")
    for index, nm in enumerate(readings):
        see_reading(nm, f"tooth_readings[{index}]", refuse)
    see_readings(readings, tool.teeth, refuse, sound=max(readings, default=0) <= 0)


def see_reading(nm: int, key: str, refuse: Refuse) -> None:
    """One tooth against the highest, nm.

    >>> see_reading(1, "tooth_readings[0]", print)
    tooth_readings[0] must be 0 or less: readings are relative to the highest tooth, which is 0
    """
    if nm > 0:
        refuse(key, "must be 0 or less: readings are relative to the highest tooth, which is 0")


def see_readings(readings: Sequence[int], teeth: int, refuse: Refuse, *, sound: bool) -> None:
    """All teeth together, nm; teeth: how many there are, 0 where that is not known; sound: none was refused by itself.

    >>> see_readings([-1, -2], 2, print, sound=True)
    tooth_readings must hold a 0, the highest tooth; the others are below 0
    """
    if len(readings) != (teeth or len(readings)):
        refuse("tooth_readings", f"must be as many as teeth, {teeth}, not {len(readings)}")
    elif sound and max(readings, default=0) != 0:
        refuse("tooth_readings", "must hold a 0, the highest tooth; the others are below 0")


def _see_mark(mark: Mark, tool: Tool, refuse: Refuse) -> None:
    if not 1 <= mark.tooth <= tool.teeth:
        refuse("tooth", f"must be a whole number from 1 to {tool.teeth}")
    lengths = (("from", mark.start_nm), ("to", mark.to_nm), ("depth", mark.depth_radial_nm),
               ("wear_land", mark.wear_land_nm))
    _see_lengths(lengths, refuse)
    see_span(mark.start_nm, mark.to_nm, tool.flute_length_nm, refuse)
    see_depth(mark.depth_radial_nm is not None, mark.wear_land_nm is not None, refuse)


def _see_end(end: EndMark, tool: Tool, refuse: Refuse) -> None:
    _see_lengths((("end_depth", end.depth_axial_nm),), refuse)
    see_on_flute("end_depth", end.depth_axial_nm, tool.flute_length_nm, refuse)


def _see_lengths(lengths: Iterable[tuple[str, int | None]], refuse: Refuse) -> None:
    for key, nm in lengths:
        if nm is not None and not 0 <= nm <= LONGEST_NM:
            refuse(key, "is out of range: must be from 0 to 10 m")


def see_span(start_nm: int, to_nm: int, flute_nm: int, refuse: Refuse) -> None:
    """A mark lies on the flute, and ends where it begins or behind. All nm from the end; a flute of 0 is not known.

    >>> see_span(2, 1, 0, print)
    to must not be before from: both count from the end face back
    """
    see_on_flute("to", to_nm, flute_nm, refuse)
    if to_nm < start_nm:
        refuse("to", "must not be before from: both count from the end face back")


def see_on_flute(key: str, nm: int, flute_nm: int, refuse: Refuse) -> None:
    """Nothing lies beyond the flute; said only where its length is known (above 0 nm).

    >>> see_on_flute("to", 20_000_000, 19_000_000, print)
    to is beyond the flute length: must be from 0 to 19 mm
    """
    if 0 < flute_nm < nm:
        refuse(key, f"is beyond the flute length: must be from 0 to {flute_nm / 1e6:.6g} mm")


def see_depth(has_depth: bool, has_wear: bool, refuse: Refuse) -> None:
    """Exactly one of the two must stand.

    >>> see_depth(False, False, print)
    depth is missing: give depth or wear_land
    """
    if not has_depth and not has_wear:
        refuse("depth", "is missing: give depth or wear_land")
    if has_depth and has_wear:
        refuse("wear_land", "cannot stand beside depth: give one of the two")
