"""The readings that some kinds alone are inspected by: what the page asks for, and how they are called."""

from dataclasses import dataclass

from django import forms

from regrind.shop.fields.forms import AngleText, LengthText

CM_NM = 10_000_000


@dataclass(frozen=True)
class Measure:
    """One reading. label: of its field; words: in a sentence. most_nm: its range, from 0; degrees: that of an angle.

    by_eye: off a rule or a loupe, so that no gauge is named with it; by_micrometer: by the gauge of the diameter.
    """

    label: str
    words: str
    most_nm: int = 5 * CM_NM
    degrees: tuple[int, int] | None = None
    by_eye: bool = True
    by_micrometer: bool = False

    def make_field(self) -> forms.Field:
        if self.degrees:
            return AngleText(label=self.label, least=self.degrees[0], most=self.degrees[1], required=False)
        return LengthText(label=self.label, most_nm=self.most_nm, required=False)


MEASURES = {
    "worn_margin": Measure("Worn margin", "worn margin", 30 * CM_NM),
    "corner_chip": Measure("Corner chip", "corner chip", 30 * CM_NM),
    "lip_chip": Measure("Chip on a lip, square to it", "chip on a lip"),
    "chisel_wear": Measure("Wear of the chisel edge, along the axis", "wear of the chisel edge"),
    "web": Measure("Web at the point", "web", 10 * CM_NM),
    "point_angle": Measure("Point angle as it is", "point angle", degrees=(80, 170)),
    "chamfer_chip": Measure("Chip on the chamfer, square to it", "chip on the chamfer"),
    "chamfer_land": Measure("Wear land on the chamfer, in the cutting direction", "wear land on the chamfer"),
    "chamfer_length": Measure("Chamfer, its length along the axis", "length of the chamfer", 10 * CM_NM),
    "chamfer_angle": Measure("Chamfer, its angle to the axis", "angle of the chamfer", degrees=(1, 60)),
    "chamfer_relief": Measure("Relief of the chamfer", "relief of the chamfer", degrees=(0, 45)),
    "width": Measure("Width", "width", 30 * CM_NM, by_eye=False, by_micrometer=True),
    "rim_depth": Measure("Depth on the periphery", "depth on the periphery"),
    "rim_land": Measure("Wear land at the rim, in the cutting direction", "wear land at the rim"),
    "left_depth": Measure("Depth on the left side", "depth on the left side"),
    "left_reach": Measure("Left side, how far in from the rim", "how far in on the left side"),
    "right_depth": Measure("Depth on the right side", "depth on the right side"),
    "right_reach": Measure("Right side, how far in from the rim", "how far in on the right side"),
    "left_tir": Measure("Runout of the left side, total reading", "runout of the left side", CM_NM, by_eye=False),
    "right_tir": Measure("Runout of the right side, total reading", "runout of the right side", CM_NM, by_eye=False),
    "gullet": Measure("Depth of the gullet", "depth of the gullet", 10 * CM_NM),
    "neck": Measure("Diameter of the neck", "diameter of the neck", 30 * CM_NM, by_eye=False),
    "face_chip": Measure("Chip on a flute face, along the rim", "chip on a flute face"),
    "tooth_thickness": Measure("Thickness of a tooth behind the face, at the rim", "thickness of a tooth"),
    "included_angle": Measure("Included angle", "included angle", degrees=(20, 160)),
    "front_wear": Measure("Wear at the front, along the axis", "wear at the front", 10 * CM_NM),
    "thread_length": Measure("Thread, its length with the chamfer", "length of the thread", 30 * CM_NM),
    "front_diameter": Measure("Diameter of the front", "diameter of the front", 10 * CM_NM, by_eye=False),
}
# what a single tooth of a cutter may be read by, besides its height
BY_TOOTH = ("rim_depth", "rim_land", "left_depth", "left_reach", "right_depth", "right_reach")
LENGTHS = tuple(name for name, measure in MEASURES.items() if not measure.degrees)
ANGLES = tuple(name for name, measure in MEASURES.items() if measure.degrees)
BY_EYE = tuple(name for name, measure in MEASURES.items() if measure.by_eye and not measure.degrees)
BY_MICROMETER = tuple(name for name, measure in MEASURES.items() if measure.by_micrometer)
