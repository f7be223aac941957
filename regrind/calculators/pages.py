"""The pages of the bench book, in the order of its contents, each with its ways of asking."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from . import arc, cup_wheel, each_tooth, face, odd_teeth, rake, relief, speed, straight_wheel, witness
from .fields import CalculatorForm
from .result import CalculatorResult


@dataclass(frozen=True)
class Way:
    """One way of asking: what is typed, how it is worked out, and which field each name of the geometry means."""

    code: str
    words: str
    form: type[CalculatorForm]
    work_out: Callable[[Any], CalculatorResult]
    fields: dict[str, str]


@dataclass(frozen=True)
class Page:
    title: str
    says: str
    ways: Sequence[Way]
    cautions: str = ""  # the template of its cautions

    def way(self, code: str) -> Way | None:
        """The way of that code, the first where none is asked for, None where there is none such."""
        return next((way for way in self.ways if way.code == code), None) if code else self.ways[0]


_STYLUS, _SPEED = "calculators/_stylus_cautions.html", "calculators/_speed_cautions.html"

PAGES: dict[str, Page] = {
    "relief": Page(
        "Relief by the drop",
        "An angle from an indicator’s drop on sides or end teeth, or the drop to aim for. A drill’s lip falls along "
        "the axis: its setup card says by how much.",
        (
            Way("drop", "Relief from a drop", relief.FromDrop, relief.read_drop, relief.FIELDS),
            Way("aim", "Drop to aim for", relief.ForRelief, relief.aim, relief.FIELDS),
        ),
    ),
    "stylus": Page(
        "Stylus and wheel height",
        "Where the stylus or the wheel’s centre stands to grind a relief. On a helix the edge turns between the wheel "
        "and the stylus: that turn is the lag.",
        (
            Way("cup", "Cup wheel: the stylus", cup_wheel.CupForm, cup_wheel.set_cup, cup_wheel.FIELDS),
            Way(
                "straight",
                "Straight wheel: its centre",
                straight_wheel.StraightForm,
                straight_wheel.set_straight,
                straight_wheel.FIELDS,
            ),
        ),
        _STYLUS,
    ),
    "odd-flute": Page(
        "Odd flutes",
        "The diameter of a tool that no plain micrometer can span. Its teeth must be evenly spaced: those of many "
        "reamers are not.",
        (
            Way("vee", "V-anvil’s height", odd_teeth.VeeForm, odd_teeth.by_vee, odd_teeth.FIELDS),
            Way("mean", "V-anvil, tooth by tooth", each_tooth.MeanForm, each_tooth.by_mean, each_tooth.FIELDS),
            Way("chord", "Between two teeth", odd_teeth.ChordForm, odd_teeth.by_chord, odd_teeth.FIELDS),
            Way("pin", "Over a pin", odd_teeth.PinForm, odd_teeth.by_pin, odd_teeth.FIELDS),
            Way(
                "gauge-pin", "Against a gauge pin", each_tooth.GaugePinForm, each_tooth.by_gauge_pin, each_tooth.FIELDS
            ),
        ),
    ),
    "zero-rake": Page(
        "Zero rake, regrinds left",
        "How far down the flute face the rake of an end mill lasts, and how many regrinds it has left.",
        (Way("face", "Rake down the face", rake.RakeForm, rake.work_down, rake.FIELDS),),
    ),
    "arc": Page(
        "Ball and corner radius",
        "How far a damaged ball or corner goes back to be ground clean with its radius.",
        (Way("back", "Moved back", arc.ArcForm, arc.work_back, arc.FIELDS),),
    ),
    "face": Page(
        "Face grinding",
        "What grinding the flute face takes off the diameter and the relief, and how wheel and tool are set for it.",
        (Way("ground", "Face ground", face.FaceForm, face.work_out, face.FIELDS),),
    ),
    "wheel-speed": Page(
        "Wheel speed",
        "Spindle and surface speed, held against the wheel’s marked maximum.",
        (
            Way("rpm", "Spindle speed", speed.RpmForm, speed.find_spindle, speed.FIELDS),
            Way("surface", "Surface speed", speed.SpeedForm, speed.find_speed, speed.FIELDS),
        ),
        _SPEED,
    ),
    "witness": Page(
        "Witness strip",
        "What a strip scraped off the marked land says of the relief and the infeed.",
        (Way("strip", "Strip scraped", witness.WitnessForm, witness.read_strip, witness.FIELDS),),
        _STYLUS,
    ),
}
