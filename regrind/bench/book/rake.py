"""The page of zero rake: the diameter at which a tooth with a curved face has lost its rake."""
from regrind.geometry.errors import Refused
from regrind.geometry.section import find_rake, find_zero_rake_diameter, shape_face
from regrind.shop.forms import AngleText, LengthText

from ..drawings import svg
from .answers import Answer, BookForm, Figure, angle, in_unit, length

LARGEST_NM = 500_000_000


class RakeForm(BookForm):
    example = {"diameter": "6.35 mm", "core": "3.81 mm", "rake": "8", "at": "6.096 mm"}
    diameter = LengthText(label="Diameter over the edges", least_nm=10_000, most_nm=LARGEST_NM)
    core = LengthText(label="Core diameter", least_nm=1_000, most_nm=LARGEST_NM)
    rake = AngleText(label="Radial rake", least=-45, most=45)
    at = LengthText(label="Rake at this diameter", required=False, least_nm=1_000, most_nm=LARGEST_NM)


def work_out(form: RakeForm) -> Answer:
    """The zero-rake diameter, and the rake at a diameter between that of the edges and the core's."""
    diameter_mm, core_mm = form.mm("diameter"), form.mm("core")
    if not core_mm < diameter_mm:
        raise Refused("core_mm", f"must be smaller than the diameter over the edges, {in_unit(diameter_mm, form.unit)}")
    face = shape_face(diameter_mm / 2, form.rad("rake"), core_mm / 2, None)
    zero_mm = find_zero_rake_diameter(face, diameter_mm / 2)
    label = "Zero-rake diameter"
    figure = Figure(label, "none") if zero_mm is None else length(label, zero_mm, form.unit)
    more = _at(form, face, core_mm, diameter_mm)
    centre, scale = (130.0, 120.0), 100 / diameter_mm
    parts = [svg.circle(centre, diameter_mm * scale, "was"), svg.circle(centre, core_mm * scale, "centre")]
    parts += [svg.circle(centre, zero_mm * scale, "limit")] if zero_mm is not None else []
    drawing = svg.wrap(260, 240, "Circles of the edges, of zero rake (dashed) and of the core, to scale", parts)
    return Answer(figure, "The face is assumed to be an arc that touches the core circle; nothing is added for that.",
                  "D₀ = 2 √(r² \u2212 2 ρ r sin γ), ρ = (r² \u2212 c²) / (2 (c + r sin γ))",
                  "Tangent circles, derived for this program (c is the core's radius).", drawing, more)


def _at(form: RakeForm, face, core_mm: float, diameter_mm: float) -> tuple[Figure, ...]:
    if form.cleaned_data["at"] is None:
        return ()
    at_mm = form.mm("at")
    if not core_mm <= at_mm <= diameter_mm:
        low, high = in_unit(core_mm, form.unit), in_unit(diameter_mm, form.unit)
        raise Refused("at_mm", f"must be from the core's {low} to the edges' {high}")
    rake_rad = find_rake(face, at_mm / 2)
    return () if rake_rad is None else (angle(f"Rake at {in_unit(at_mm, form.unit)}", rake_rad, 3),)
