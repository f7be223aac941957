"""The kinds of tool the shop takes. A kind is data: what is looked at, what is ground, what the label says."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """One kind of cutting tool.

    grinds: what may be ground on it, of sides, end, corner, ball, face, point, chamfer, margins, periphery,
    left, right. computed: the plan's
    geometry covers it as an end mill. no_sides: why a clean-up of the sides is refused (empty where it is not). label:
    what its return label says beside the number; checked: what must be read at the final check; reams: whether it is
    made for a hole of some tolerance; corner: the shape of its corner, square, radius or ball, where it has one; sized:
    whether its diameter must be known; limits: what a line of such tools may agree with the customer, by the fields of
    the line's form; angle: what the angle of its point is called, where it has one; disc: whether its teeth stand round
    a disc, which has a width and no flute length; worded: whether its own words tell more than its kind; properties:
    what is asked of such tools besides what all tools have, by the fields of receiving/family_forms.py.
    """

    code: str
    name: str
    grinds: tuple[str, ...]
    inspected: tuple[str, ...]
    label: tuple[str, ...]
    computed: bool = False
    no_sides: str = ""
    checked: tuple[str, ...] = ("diameter",)
    reams: bool = False
    corner: str = ""
    sized: bool = True
    limits: tuple[str, ...] = ("smallest", "shortest", "runout_limit", "chamfer", "other_radius")
    angle: str = ""
    disc: bool = False
    worded: bool = False
    properties: tuple[str, ...] = ()

    @property
    def size_name(self) -> str:
        """What its diameter is called where it is measured: only a tool with a length has one at its end."""
        return "Diameter" if self.disc or self.angle else "Diameter at the end"

    def count_teeth(self, teeth: int) -> str:
        """`3 flutes`, `1 flute`; of a disc `40 teeth`."""
        one, many = ("tooth", "teeth") if self.disc else ("flute", "flutes")
        return f"{teeth} {many if teeth > 1 else one}"


RADIAL = ("sides", "periphery", "margins")  # parts whose grinding sets the diameter
PART_WORDS = {"left": "left side", "right": "right side"}  # of parts whose code says too little
HELD = ("shank", "flute_length", "overall", "hand_of_cut")  # of tools with a shank and flutes
HELICAL = (*HELD, "helix", "hand_of_helix", "unequal_index")
FLANKS = ("rake", "primary_relief", "secondary_relief", "primary_land")
MILLED = (*HELICAL, *FLANKS, "core", "face_arc")
TEETH = (*FLANKS, "helix", "hand_of_helix", "unequal_index")  # of a disc
ANY = (*MILLED, "corner_radius", "point_angle", "thread", "tap_flutes")
SIDES = ("diameter", "damage on the sides", "damage on the end", "runout")
FORM_RELIEVED = "form-relieved: it is ground on the flute face only, the sides would lose their relief and their form"

KINDS = {
    kind.code: kind
    for kind in (
        Kind(
            "square",
            "end mill, square",
            ("sides", "end", "corner", "face"),
            SIDES,
            ("diameter", "relief", "runout", "length", "corner", "coating"),
            computed=True,
            corner="square",
            properties=MILLED,
        ),
        Kind(
            "radius",
            "end mill, corner radius",
            ("sides", "end", "corner", "face"),
            (*SIDES, "corner radius"),
            ("diameter", "relief", "runout", "length", "corner", "coating"),
            computed=True,
            corner="radius",
            properties=(*MILLED, "corner_radius"),
        ),
        Kind(
            "ball",
            "end mill, ball",
            ("sides", "ball", "face"),
            (*SIDES, "ball radius"),
            ("diameter", "relief", "runout", "length", "corner", "coating"),
            computed=True,
            corner="ball",
            limits=("smallest", "shortest", "runout_limit", "other_radius"),
            properties=(*MILLED, "corner_radius"),
        ),
        Kind(
            "rougher",
            "roughing end mill",
            ("face", "end"),
            ("diameter", "how far back from the edge the wear reaches", "tooth width"),
            ("diameter", "length", "coating"),
            computed=True,
            no_sides=FORM_RELIEVED,
            properties=(*MILLED, "corner_radius"),
        ),
        Kind(
            "chamfer",
            "chamfer mill or countersink",
            ("face",),
            ("diameter", "included angle", "damage"),
            ("angle", "diameter", "length"),
            limits=("smallest", "thickness_limit"),
            angle="included angle",
            properties=(*HELD, "point_angle", "rake", "primary_relief", "unequal_index"),
        ),
        Kind(
            "drill",
            "drill",
            ("point",),
            ("diameter", "point", "margins", "web"),
            ("angle", "length", "diameter"),
            checked=("point_angle", "overall"),
            limits=("smallest", "shortest", "hole_depth", "oversize"),
            angle="point angle",
            properties=(*HELD, "helix", "hand_of_helix", "point_angle"),
        ),
        Kind(
            "stepdrill",
            "step or spot drill",
            ("point",),
            ("diameter", "point", "steps"),
            ("angle", "length", "diameter"),
            checked=("point_angle", "overall"),
            limits=("smallest", "shortest", "hole_depth", "oversize"),
            angle="point angle",
            properties=(*HELD, "helix", "hand_of_helix", "point_angle"),
        ),
        Kind(
            "reamer",
            "reamer",
            ("chamfer", "margins", "end"),
            ("diameter", "chamfer", "margins"),
            ("diameter", "chamfer", "length"),
            reams=True,
            no_sides="a reamer is ground on its chamfer and its diameter checked, not reduced",
            limits=("smallest", "shortest", "runout_limit", "hole", "smaller_holes"),
            properties=HELICAL,
        ),
        Kind(
            "sidecutter",
            "side-and-face cutter",
            ("periphery", "left", "right"),
            ("diameter", "width", "damage"),
            ("diameter", "width", "relief"),
            limits=("smallest", "runout_limit", "narrowest", "gullet_limit"),
            disc=True,
            properties=TEETH,
        ),
        Kind(
            "saw",
            "slitting saw",
            ("periphery",),
            ("diameter", "width", "damage"),
            ("diameter", "width", "relief"),
            limits=("smallest", "runout_limit", "gullet_limit"),
            disc=True,
            properties=FLANKS,
        ),
        Kind(
            "keyseat",
            "keyseat or T-slot cutter",
            ("periphery", "left", "right"),
            ("diameter", "width", "damage"),
            ("diameter", "width", "relief"),
            limits=("smallest", "runout_limit", "narrowest", "gullet_limit", "reach_limit"),
            disc=True,
            properties=(*TEETH, "shank", "overall", "hand_of_cut"),
        ),
        Kind(
            "tap",
            "tap",
            ("end", "chamfer"),
            ("thread", "chamfer", "first threads"),
            ("chamfer", "length"),
            no_sides="a tap is ground on its front and its chamfer: the thread keeps its size",
            checked=("chamfer_length",),
            sized=False,
            limits=(),
            properties=(*HELD, "thread", "tap_flutes", "hand_of_helix"),
        ),
        Kind(
            "form",
            "form cutter",
            ("face",),
            ("form", "flute face"),
            ("diameter",),
            no_sides=FORM_RELIEVED,
            sized=False,
            worded=True,
            properties=ANY,
        ),
        Kind(
            "other",
            "other",
            ("sides", "end", "face", "point", "chamfer"),
            ("damage",),
            ("diameter",),
            checked=(),
            sized=False,
            worded=True,
            properties=ANY,
        ),
    )
}


def is_radial(parts: Iterable[str]) -> bool:
    """Whether one of these parts, when it is ground, sets the diameter."""
    return not set(RADIAL).isdisjoint(parts)


def name_part(part: str) -> str:
    """What a part that is ground is called."""
    return PART_WORDS.get(part, part)


CHOICES = [(kind.code, kind.name) for kind in KINDS.values()]
END_MILLS = frozenset(kind.code for kind in KINDS.values() if kind.corner)
