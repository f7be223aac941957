"""Taps: cut back at the front with the chamfer ground again, by hand, so always asked about."""

from collections.abc import Mapping
from typing import Any

from regrind.geometry.kinds.tap import find_ansi_chamfers
from regrind.geometry.units import Unit, parse, show_with_unit, to_nm, write_mm
from regrind.paper import cautions
from regrind.paper.values import Sketch
from regrind.shop.web.svg import in_unit

from ..drawings.front import sketch_front
from .card import Figure, Section, Work
from .case_parts import build_uncertainty, find_deepest_mm, keep_filled, list_damage, say, write_lengths
from .kind import BenchKind, KindPlan, Known, Wanted

SPIRAL_POINT = "spiral point"
# what is ground besides, or left alone, by how the flutes run: common practice
FLUTE_STEPS = {
    "straight flutes": "The flutes are left alone.",
    SPIRAL_POINT: "Gash the spiral point again in each flute, as steep and as long as it was: past the chamfer's end.",
    "spiral flutes": "The flutes are left alone; relieve the chamfer along their lead, the tap turned by hand.",
    "": "How the flutes run is not stated: where it has a spiral point, that is gashed again as well.",
}
NOT_STATED = "no spiral point: with one the chamfer may be of form B, and it is gashed again; state it on the line"
FORMS_SOURCE = "DIN 2197, read on makers' pages"


def find_lacks(known: Known, wanted: Wanted) -> tuple[str, ...]:
    """The thread, and how long thread and chamfer are."""
    needed = (
        ("the thread: M8 x 1.25 or 1/4-20", known.family.thread),
        ("the length of the chamfer", known.read_nm("chamfer_length")),
        ("the length of the thread", known.read_nm("thread_length")),
    )
    return tuple(name for name, value in needed if not value)


def build_case(known: Known, wanted: Wanted) -> dict[str, Any]:
    """The case of the headless plan, from what was read."""
    damage = list_damage(known, {"front_wear": "worn"})
    tool: dict[str, Any] = {"kind": "tap", "thread": known.family.thread}
    tool |= write_lengths(
        thread_length=known.read_nm("thread_length"),
        chamfer_length=known.read_nm("chamfer_length"),
        chamfer_diameter=known.read_nm("front_diameter"),
    )
    tool |= {"material": known.family.material} if known.family.material else {}
    tool |= {"spiral_point": True} if known.family.tap_flutes == SPIRAL_POINT else {}
    uncertainty = build_uncertainty(known, damaged=bool(damage))
    return keep_filled(
        {
            "tool": tool,
            "damage": damage,
            "allow": {"finish": write_mm(wanted.finish_nm)},
            "uncertainty": {name: text for name, text in uncertainty.items() if name == "damage"},
        }
    )


def say_assumed(known: Known) -> list[str]:
    """How the flutes run, where nobody stated it: the forms of the chamfer and the work hang on it."""
    return [] if known.family.tap_flutes else [NOT_STATED]


def list_figures(option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The figures of an option, most needed first."""
    angle = option["chamfer_angle_deg"]
    return [
        ("Off the front", say(option["cut_back_mm"], unit) if option["cut_back_mm"] else "nothing"),
        ("Full thread left", say(option["full_thread_mm"], unit)),
        ("Thread", f"⌀ {say(option['thread_diameter_mm'], unit)}, pitch {say(option['pitch_mm'], unit)}"),
        ("Threads in the chamfer, kept", _say_chamfer(option)),
        ("Chamfer, to the axis", "not known: read the front's diameter" if angle is None else f"{angle:.1f}°"),
    ]


def _say_chamfer(option: Mapping[str, Any]) -> str:
    forms = " or ".join(option["chamfer_forms"])
    if option["threads_per_inch"]:
        names = " or ".join(find_ansi_chamfers(option["chamfer_threads"]))
        return f"{option['chamfer_threads']:.1f}, {names or 'between two usual chamfers'}"
    return f"{option['chamfer_threads']:.1f}" + (f", form {forms}" if forms else ", no form of the standard")


def say_short(option: Mapping[str, Any], unit: Unit) -> list[str]:
    """For the job sheet: the full thread that is left."""
    return [f"full thread left {show_with_unit(to_nm(option['full_thread_mm']), unit)}"]


def tell_chamfer(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The thread, and the chamfer as it is planned: as long as it was."""
    length = show_with_unit(parse(case["tool"]["chamfer_length"]).nm, unit)
    return [
        ("Thread", f"{case['tool']['thread']}, not ground"),
        ("Planned chamfer", f"{length} along the axis; threads in it: {_say_chamfer(option)}"),
        ("Full thread left", show_with_unit(to_nm(option["full_thread_mm"]), unit)),
    ]


ROOT = 1.0825  # twice 5/8 H of the ISO and Unified profile, of the pitch: ISO 68-1 (memory)


def sketch_chamfer(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> dict[str, Sketch]:
    """Front and chamfer before and after; a front whose diameter was not read is drawn at the thread's root."""
    tool, cut, radius = case["tool"], option["cut_back_mm"], option["thread_diameter_mm"] / 2
    length, read = parse(tool["chamfer_length"]).mm, tool.get("chamfer_diameter")
    front = parse(read).mm / 2 if read else radius - ROOT * option["pitch_mm"] / 2
    before, after = ([(0.0, z - length), (front, z - length), (radius, z)] for z in (0.0, cut))
    worn = -length, find_deepest_mm(case, "worn") - length
    note = f"{in_unit(cut, unit)} off the front; dark: worn threads; the crests as one line"
    note += "" if read else "; front not read, drawn at the thread's root"
    note += f"; {option['chamfer_threads']:.1f} threads of chamfer both times"
    sketch = sketch_front(before, after, worn, ("front", "front"), note)
    return {"chamfer": sketch}


def front_section(work: Work) -> Section:
    """The front, cut back past the worn threads."""
    figures = (Figure("Off the front", work.end_nm, first=True), *work.end_passes.figures)
    steps = ("Square to the axis; the chamfer follows.", *work.end_passes.steps)
    return Section("end", "Front", figures, steps, cautions.END)


def chamfer_section(work: Work) -> Section:
    """The chamfer, ground again as long as it was."""
    option = work.option
    angle = option["chamfer_angle_deg"]
    figures = (
        Figure("Threads in the chamfer", text=_say_chamfer(option), note=FORMS_SOURCE, first=True),
        Figure("Chamfer, to the axis", text="" if angle is None else f"{angle:.1f}°"),
        Figure("Full thread left", to_nm(option["full_thread_mm"])),
        Figure("Relief of the chamfer", text="as it was"),
    )
    steps = (
        FLUTE_STEPS[work.family.tap_flutes],
        "By hand: every land relieved alike, by one stop, as far as it was.",
        "A thread gauge or a test hole in the customer's material decides.",
    )
    return Section("chamfer", "Chamfer", figures, steps, cautions.CHAMFER_OF_TAP)


KIND = BenchKind(
    readings=("front_wear", "chamfer_length", "thread_length"),
    unasked=("damage_depth", "reach", "teeth", "end_depth"),
    damages=(("depth", "worn or chipped"), ("nothing", "no damage")),
    labels={"damage": "The chamfer and the first threads"},
    hints={
        "diameter": "Not needed: the thread says it.",
        "front_wear": "Along the axis, from the front to behind the last worn thread.",
        "chamfer_length": "From the front to the first full thread.",
        "thread_length": "Chamfer and full thread together, from the front.",
    },
    planner=KindPlan(
        headless="tap",
        asked=("front_wear",),
        more=("chamfer_length", "thread_length", "front_diameter"),
        keeps=(),
        lacks=find_lacks,
        flute=False,
        measured=False,
        build=build_case,
        assume=say_assumed,
        figures=list_figures,
        short=say_short,
        sketches=sketch_chamfer,
        sections={"end": front_section, "chamfer": chamfer_section},
        tells=tell_chamfer,
        takes="cut_back_mm",
        counts=(),
    ),
)
