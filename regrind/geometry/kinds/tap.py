"""Taps, cut back at the front with the chamfer ground again: by hand, so always asked about."""

import math
from dataclasses import dataclass
from functools import cache

from regrind.geometry.defaults import Default
from regrind.geometry.errors import Refused
from regrind.geometry.fields import Fields
from regrind.geometry.kinds.kind import Checked, Kind, Option, Terms
from regrind.geometry.kinds.marks import Mark, find_stock, read_mark
from regrind.geometry.kinds.reading import check_within, read_marks, read_mm, read_mm_if, read_part, read_tool, require
from regrind.geometry.kinds.tap_steps import explain_tap
from regrind.geometry.kinds.thread import Thread, read_thread
from regrind.geometry.tables import rows

_SPIRAL_POINT_FORM = "B"
_SAME = 1e-9
_DIN, _ANSI = "tap: threads in the chamfer, DIN 2197", "tap: threads in the chamfer, ANSI"


@dataclass(frozen=True, slots=True)
class Tap:
    """A tap with its marks; lengths in mm."""

    thread: Thread
    thread_length_mm: float
    chamfer_length_mm: float
    chamfer_diameter_mm: float | None
    spiral_point: bool
    marks: tuple[Mark, ...]
    finish_mm: float
    cracked: bool

    @property
    def defaults(self) -> tuple[Default, ...]:
        """What stands in for figures that were not given: nothing does."""
        return ()


def find_chamfer_forms(threads: float, *, spiral_point: bool) -> tuple[str, ...]:
    """The forms of chamfer that a number of threads fits; form B with a spiral point alone.

    Source: DIN 2197 as read on makers' pages (shared/29).

    >>> find_chamfer_forms(4.0, spiral_point=True), find_chamfer_forms(4.0, spiral_point=False)
    (('B', 'D'), ('D',))
    """
    return tuple(
        form
        for form, low, high in _forms()
        if low - _SAME <= threads <= high + _SAME and (spiral_point or form != _SPIRAL_POINT_FORM)
    )


def find_ansi_chamfers(threads: float) -> tuple[str, ...]:
    """What an inch tap with so many threads in its chamfer is called: taper, plug, semi-bottoming, bottoming.

    Source: a maker's page (shared/29).

    >>> find_ansi_chamfers(4.0), find_ansi_chamfers(6.0)
    (('plug',), ())
    """
    return tuple(name for name, low, high in _forms(_ANSI) if low - _SAME <= threads <= high + _SAME)


@cache
def _forms(item: str = _DIN) -> list[tuple[str, float, float]]:
    table = [row for row in rows("29_kinds_published") if row["item"] == item]
    return [(row["condition"].removeprefix("form "), float(row["low"]), float(row["high"])) for row in table]


def _plan(tap: Tap, terms: Terms) -> list[Option]:
    cuts = find_stock(tap.marks, tap.finish_mm, terms)
    cut, threads = cuts[0].value, tap.chamfer_length_mm / tap.thread.pitch_mm
    full = tuple(-cut + (tap.thread_length_mm - tap.chamfer_length_mm) for cut in cuts)
    values = {
        "cut_back_mm": cut,
        "thread_diameter_mm": tap.thread.diameter_mm,
        "pitch_mm": tap.thread.pitch_mm,
        "full_thread_mm": full[0].value,
        "threads_per_inch": tap.thread.per_inch,
        "chamfer_threads": threads,
        "chamfer_forms": list(find_chamfer_forms(threads, spiral_point=tap.spiral_point)),
        "chamfer_angle_deg": _find_chamfer_angle(tap),
    }
    grind = ("end", "chamfer") if cut else ()
    return [Option(grind, values, {"full_thread": Checked(full, terms.typical_mm)}, ("by_hand",))]


def _find_chamfer_angle(tap: Tap) -> float | None:
    """The chamfer's angle to the axis in degrees, which grinding keeps; None where the front was not measured."""
    if tap.chamfer_diameter_mm is None:
        return None
    rise = (tap.thread.diameter_mm - tap.chamfer_diameter_mm) / 2
    return math.degrees(math.atan(rise / tap.chamfer_length_mm))


def _read(fields: Fields) -> Tap:
    tool, measured = read_tool(fields), read_part(fields, "measured")
    allow = read_part(fields, "allow", needed=True)
    tap = Tap(
        _read_thread(tool),
        read_mm(tool, "thread_length", above_zero=True),
        read_mm(tool, "chamfer_length", above_zero=True),
        read_mm_if(tool, "chamfer_diameter", above_zero=True),
        tool.flag("spiral_point"),
        read_marks(fields, lambda mark: read_mark(mark, ("worn",))),
        read_mm(allow, "finish"),
        measured.flag("cracked"),
    )
    front, thread = tap.chamfer_diameter_mm, tap.thread.diameter_mm
    if front is not None and thread - front <= _SAME:
        tool.refuse("chamfer_diameter", f"must be above 0 and below the thread's, {thread:.6g} mm")
    for mark in tap.marks:
        place = Fields({}, mark.field, fields.problems)
        check_within(place, "worn", mark.length_mm, tap.thread_length_mm, "the thread's length")
    for part in (tool, measured, allow):
        part.close()
    return tap


def _read_thread(tool: Fields) -> Thread:
    require(tool, "thread")
    text = tool.text_if("thread")
    if text is not None:
        try:
            return read_thread(text)
        except Refused as fault:
            tool.refuse("thread", fault.message)
    return Thread(math.inf, 1.0)


KIND = Kind(names=("tap",), limits={}, typical="cut_back", read=_read, plan=_plan, explain=explain_tap)
