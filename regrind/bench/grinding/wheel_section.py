"""The wheel on the setup card: what it is, its marking, its recommended speed, its runout."""

from dataclasses import dataclass

from regrind.geometry.units import Unit, show_with_unit
from regrind.shop.models import Wheel

from .card_section import Figure
from .wheel import Speed, find_speed

NEVER_A_PERMISSION = "A computed speed is never a permission: machine, flanges and guard have limits of their own."


@dataclass(frozen=True)
class WheelSection:
    """The figures of the chosen wheel, none where none is chosen; `warning`: why there is no speed."""

    figures: tuple[Figure, ...]
    warning: str
    source: str


def describe_wheel(wheel: Wheel | None, mode: str, unit: Unit) -> WheelSection:
    """The wheel's section of the card. mode: wet or dry."""
    speed = find_speed(wheel, mode)
    figures = () if wheel is None else _figures(wheel, speed, mode, unit)
    return WheelSection(figures, speed.refused, "" if speed.refused else speed.source_words)


def _figures(wheel: Wheel, speed: Speed, mode: str, unit: Unit) -> tuple[Figure, ...]:
    named = " ".join(part for part in (wheel.get_abrasive_display(), wheel.grit, wheel.bond, wheel.shape) if part)
    return (
        Figure("Wheel", text=wheel.name),
        Figure("Abrasive, grit, bond, shape", text=named),
        Figure("Diameter", wheel.diameter_nm),
        _marked(wheel, speed),
        *_speed(speed, mode),
        _runout(wheel, unit),
    )


def _marked(wheel: Wheel, speed: Speed) -> Figure:
    if not wheel.marked_maximum_rpm:
        return Figure("Marked maximum", text="not on record")
    surface = f"{speed.marked_m_s:.1f} m/s" if speed.marked_m_s else ""
    return Figure("Marked maximum", text=f"{wheel.marked_maximum_rpm} rev/min", note=surface)


def _speed(speed: Speed, mode: str) -> list[Figure]:
    if not speed.low_rpm:
        return []
    note = f"{speed.low_m_s:.0f} to {speed.high_m_s:.0f} m/s recommended"
    if speed.marked_m_s and speed.high_m_s and speed.high_m_s > speed.marked_m_s:
        note = f"{note}; the marking stops at {speed.marked_m_s:.1f} m/s"
    return [Figure(f"Speed, {mode}", text=f"{speed.low_rpm} to {speed.high_rpm} rev/min", note=note)]


def _runout(wheel: Wheel, unit: Unit) -> Figure:
    if wheel.trued_runout_nm is None:
        return Figure("Trued, runout at four marks", text="not read: true it and read it")
    marks = [mark for mark in (wheel.mark_1_nm, wheel.mark_2_nm, wheel.mark_3_nm, wheel.mark_4_nm) if mark is not None]
    read = f"read {', '.join(show_with_unit(mark, unit) for mark in marks)}" if marks else ""
    return Figure("Trued, runout at four marks", wheel.trued_runout_nm, note=read)
