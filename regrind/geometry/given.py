"""What is given about one tool: value objects, lengths in whole nanometres, angles in degrees.

They say nothing about JSON (that is `case`) and hold nothing that was worked out (that is `present`).
"""

from dataclasses import dataclass
from typing import Literal

Hand = Literal["right", "left"]
Method = Literal["micrometer", "v-anvil", "swept"]


@dataclass(frozen=True, slots=True)
class Tool:
    """The tool as it stands; None is "nobody knows", except that `one_relief` means there is no secondary."""

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


@dataclass(frozen=True, slots=True)
class Measured:
    """The diameter, how it was taken, and how the teeth stand: readings, one total reading, or neither."""

    diameter_nm: int
    method: Method
    tooth_readings_nm: tuple[int, ...] | None = None
    tir_nm: int | None = None
    shank_tir_nm: int | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on the sides of one tooth (numbered from 1); either its radial depth or its wear land is given."""

    field: str
    tooth: int
    start_nm: int
    to_nm: int
    depth_radial_nm: int | None
    wear_land_nm: int | None
    what: str = ""


@dataclass(frozen=True, slots=True)
class EndMark:
    """A mark on the end face, by its axial depth."""

    depth_axial_nm: int
    what: str = ""


@dataclass(frozen=True, slots=True)
class Allow:
    """What grinding takes beyond the damage, and the reach that the stylus costs at the back of the flute."""

    finish_radial_nm: int
    finish_end_nm: int
    stylus_distance_nm: int


@dataclass(frozen=True, slots=True)
class Limits:
    """The least that may be left; None is not checked."""

    diameter_nm: int | None = None
    rake_deg: float | None = None
    flute_depth_nm: int | None = None
    usable_length_nm: int | None = None
    published_reduction: bool = False


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


@dataclass(frozen=True, slots=True)
class Typical:
    """What one regrind usually takes off this tool or its family, finish allowances included."""

    stock_radial_nm: int = 0
    cut_back_nm: int = 0


@dataclass(frozen=True, slots=True)
class Case:
    """One tool to be judged."""

    tool: Tool
    measured: Measured
    marks: tuple[Mark, ...]
    end_marks: tuple[EndMark, ...]
    allow: Allow
    limits: Limits = Limits()
    uncertainty: Uncertainty = Uncertainty()
    typical: Typical | None = None
