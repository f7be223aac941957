"""What is given about one tool: value objects, lengths in whole nanometres, angles in degrees.

They say nothing about JSON (that is `case`) and hold nothing that was worked out (that is `present`).
"""

from dataclasses import dataclass, field
from typing import Literal

Hand = Literal["right", "left"]
Method = Literal["micrometer", "v-anvil", "swept"]
Form = Literal["square", "chamfer", "radius", "ball"]
Way = Literal["flank", "face"]
ReliefForm = Literal["flat", "spiral"]


@dataclass(frozen=True, slots=True)
class Corner:
    """What joins the sides to the end: a chamfer's leg along the axis (45 degrees) or a radius; else size 0.

    In ISO 13399 a radius is RE; a chamfer's leg is CHW, its angle KCH.

    A ball has no size of its own: its radius is that of the tooth. `agreed`: of a further corner, whether the customer
    takes it; what grinds one that nobody agreed to asks.
    """

    form: Form = "square"
    size_nm: int = 0
    agreed: bool = field(default=True, compare=False, repr=False)


SQUARE = Corner()
FACE_ONLY = ("roughing end mill", "form cutter")


@dataclass(frozen=True, slots=True)
class EndTeeth:
    """The teeth of the end face; None is "nobody knows", an inner radius of 0 cuts to the centre.

    Dish: end edge to the plane square to the axis, hollow positive; `dish_to_deg` is what it is ground to.
    Reliefs to that plane, rake to the axis.
    """

    dish_deg: float | None = None
    dish_to_deg: float | None = None
    inner_radius_nm: int = 0
    primary_relief_deg: float | None = None
    secondary_relief_deg: float | None = None
    rake_deg: float | None = None
    land_nm: int | None = None
    centre_recess_nm: int | None = None


@dataclass(frozen=True, slots=True)
class Tool:
    """The tool as it stands; None is "nobody knows", except that `one_relief` means there is no secondary.

    `teeth`: 2 to 99. Lengths in whole nm, angles in degrees, in the ranges of docs/plan.md.
    """

    kind: str
    teeth: int
    nominal_diameter_nm: int
    flute_length_nm: int
    material: str | None = None
    hand_of_cut: Hand | None = None
    hand_of_helix: Hand | None = None
    helix_deg: float | None = None
    core_diameter_nm: int | None = None
    rake_deg: float | None = None
    primary_relief_deg: float | None = None
    secondary_relief_deg: float | None = None
    one_relief: bool = False
    primary_land_nm: int | None = None
    face_arc_radius_nm: int | None = None
    gash_length_nm: int | None = None
    new_flute_length_nm: int | None = None
    sides_ground_before: bool = False
    unequal_index: bool = False
    corner: Corner = SQUARE
    end_teeth: EndTeeth = EndTeeth()
    relief_form: ReliefForm = "flat"
    tooth_width_nm: int | None = None

    @property
    def face_only(self) -> bool:
        """Whether the kind is sharpened on its faces alone."""
        return self.kind in FACE_ONLY


@dataclass(frozen=True, slots=True)
class Measured:
    """The diameter, how it was taken, and how the teeth stand: readings, one total reading, or neither."""

    diameter_nm: int
    method: Method
    tooth_readings_nm: tuple[int, ...] | None = None
    tir_nm: int | None = None
    shank_tir_nm: int | None = None
    end_readings_nm: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on the sides or on the corner's arc of one tooth (numbered from 1).

    Its depth, normal to the edge (radial on the sides), or its wear land is given; on a face that is ground alone,
    how far it reaches `back` from the edge may stand instead. `arc_deg` is from where to where on the arc it lies,
    from the axis; a mark along the axis has none, and one on the arc no `start_nm` and `to_nm`.
    """

    field: str
    tooth: int
    start_nm: int
    to_nm: int
    depth_radial_nm: int | None
    wear_land_nm: int | None
    label: str = ""
    arc_deg: tuple[float, float] | None = None
    back_nm: int | None = None


@dataclass(frozen=True, slots=True)
class EndMark:
    """A mark on the end face, by its axial depth or its wear land; without a tooth (from 1) on all of them."""

    depth_axial_nm: int | None
    label: str = ""
    wear_land_nm: int | None = None
    tooth: int | None = None


@dataclass(frozen=True, slots=True)
class Allowances:
    """What grinding takes beyond the damage, and the reach that the stylus costs at the back of the flute."""

    finish_radial_nm: int
    finish_end_nm: int
    stylus_distance_nm: int
    finish_face_nm: int = 0
    gash_left_nm: int = 0


@dataclass(frozen=True, slots=True)
class Limits:
    """The least that may be left; None is not checked."""

    diameter_nm: int | None = None
    rake_deg: float | None = None
    flute_depth_nm: int | None = None
    usable_length_nm: int | None = None
    published_reduction: bool = False
    relief_deg: float | None = None
    tooth_width_nm: int | None = None


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Standard uncertainties (k = 1) of what was measured; 0 where nothing is said."""

    diameter_nm: int = 0
    tooth_reading_nm: int = 0
    depth_nm: int = 0
    wear_land_nm: int = 0
    core_diameter_nm: int = 0
    rake_deg: float = 0.0
    flute_length_nm: int = 0
    corner_radius_nm: int = 0
    back_nm: int = 0


@dataclass(frozen=True, slots=True)
class Typical:
    """What one regrind usually takes off this tool or its family, finish allowances included."""

    stock_radial_nm: int = 0
    cut_back_nm: int = 0
    back_nm: int = 0


@dataclass(frozen=True, slots=True)
class Case:
    """One tool to be judged."""

    tool: Tool
    measured: Measured
    marks: tuple[Mark, ...]
    end_marks: tuple[EndMark, ...]
    allow: Allowances
    limits: Limits = Limits()
    uncertainty: Uncertainty = Uncertainty()
    typical: Typical | None = None
    accept: tuple[Corner, ...] = ()
    ways: tuple[Way, ...] = ("flank",)
