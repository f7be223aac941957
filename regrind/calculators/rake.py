"""Rake down the face: the diameter where it is gone, and the tooth at a smaller diameter."""

from regrind.geometry.damage import Flank
from regrind.geometry.errors import Refused
from regrind.geometry.land import find_heel_drop, find_helix, find_land
from regrind.geometry.section import Face, find_rake, find_zero_rake_diameter, shape_face

from . import formatting
from .draw_curve import draw_curve, find_straight_rake
from .draw_rake import draw_face
from .fields import CalculatorForm, angle, digit, length
from .regrinds_left import count_regrinds, tabulate
from .result import CalculatorResult, Figure, WorkingStep, find_expanded

FIELDS = {
    "measured.diameter": "diameter",
    "tool.core_diameter": "core",
    "core_diameter": "core",
    "tool.rake_deg": "rake",
    "tool.face_arc_radius": "arc",
    "limits.diameter": "least",
    "typical.stock_radial": "stock",
    "limits.rake_deg": "least_rake",
    "typical.cut_back": "cut_back",
    "tool.flute_length": "usable",
    "limits.usable_length": "least_usable",
}


class RakeForm(CalculatorForm):
    diameter = length("Diameter", mm="6.350", inch=".2500", least_mm=0.1)
    core = length("Core diameter", mm="3.810", inch=".1500", least_mm=0.05)
    rake = angle("Radial rake at the edge", "8", least=-30, most=40)
    arc = length(
        "Arc radius of the face",
        mm="",
        inch="",
        needed=False,
        least_mm=0.01,
        help_text="If measured; else the arc that touches the core.",
    )
    after = length("Diameter after", mm="6.096", inch=".2400", least_mm=0.1)
    helix = angle("Helix angle", "30", most=70)
    primary = angle("Primary relief", "12")
    secondary = angle("Secondary relief", "24", needed=False, help_text="Empty: one relief over the whole tooth.")
    land = length("Primary land", mm="0.254", inch=".0100", least_mm=0, most_nm=50_000_000)
    stock = length(
        "One regrind takes, radial", mm="0.127", inch=".0050", needed=False, least_mm=0.0001, most_nm=20_000_000
    )
    cut_back = length("and off the end", mm="0.400", inch=".0150", needed=False, least_mm=0, most_nm=50_000_000)
    usable = length("Usable length now", mm="19.000", inch=".7500", needed=False)
    least_usable = length("Least usable length", mm="12.700", inch=".5000", needed=False, least_mm=0)
    least = length("Least diameter allowed", mm="5.500", inch=".2150", needed=False, least_mm=0)
    least_rake = angle("Least rake", "0", least=-30, most=40)
    diameter_digit = digit("Diameter read to")
    core_digit = digit("Core read to", mm="0.02", inch=".001")
    rake_digit = angle("Rake known to", "1", most=10, needed=False)


def work_down(form: RakeForm) -> CalculatorResult:
    """Where the rake is gone, what the tooth is like at the diameter after, how many regrinds are left."""
    face, unit, after, radius = _shape(form), form.unit, form.mm("after") / 2, form.mm("diameter") / 2
    if not face.core_mm < after <= radius:
        raise Refused("after", f"must be above the core and at most the diameter, {2 * radius:.6g} mm")
    secondary = form.rad_if("secondary")
    if secondary is not None and secondary <= form.rad("primary"):
        raise Refused("secondary", f"must be above the primary relief, {formatting.degrees(form.rad('primary'))}")
    flank = Flank(form.rad("primary"), secondary, form.mm("land"))
    zero, rake = find_zero_rake_diameter(face, radius), find_rake(face, after)
    figures = [_zero_figure(form, zero), _rake_figure(form, rake), *count_regrinds(form, face)]
    return CalculatorResult(
        figures,
        draw_face(face, radius, after, zero, flank.primary_rad, flank.land_mm, unit),
        _working(form, face, flank, zero, rake),
        [("D", "diameter now"), ("D′", "diameter after"), ("D₀", "diameter at which the rake is gone")],
        _notes(face),
        tabulate(form, face, flank),
        drawings=[draw_curve(face, radius, after, zero, unit)],
    )


def _shape(form: RakeForm, **changed: float) -> Face:
    diameter, core, rake = (
        changed.get(name, value)
        for name, value in (("diameter", form.mm("diameter")), ("core", form.mm("core")), ("rake", form.rad("rake")))
    )
    arc = form.mm_if("arc")
    if core >= diameter:
        raise Refused("core", f"must be smaller than the diameter, {diameter:.6g} mm")
    if arc is not None and arc < (diameter - core) / 4:
        raise Refused("arc", f"must be at least {(diameter - core) / 4:.6g} mm to reach from edge to core")
    return shape_face(diameter / 2, rake, core / 2, arc)


def _digits(form: RakeForm) -> tuple[dict[str, float], dict[str, float]]:
    return (
        {"diameter": form.mm("diameter"), "core": form.mm("core"), "rake": form.rad("rake")},
        {"diameter": form.mm("diameter_digit"), "core": form.mm("core_digit"), "rake": form.rad("rake_digit")},
    )


def _zero_figure(form: RakeForm, zero: float | None) -> Figure:
    if zero is None:
        return Figure("Zero-rake diameter", "none", "there is none below the present diameter")

    def find(**values: float) -> float:
        value = find_zero_rake_diameter(_shape(form, **values), values["diameter"] / 2)
        if value is None:
            raise Refused("rake", "is too near zero for what it is known to: no zero-rake diameter at that end")
        return value

    return formatting.length_figure("Zero-rake diameter", zero, form.unit, find_expanded(find, *_digits(form)))


def _rake_figure(form: RakeForm, rake: float | None) -> Figure:
    label, after = f"Rake at {formatting.size(form.mm('after'), form.unit)}", form.mm("after") / 2
    if rake is None:
        return Figure(label, "none", "the face does not reach there")

    def find(**values: float) -> float:
        value = find_rake(_shape(form, **values), after)
        if value is None:
            raise Refused("after", "is too near the end of the face for an answer")
        return value

    return formatting.angle_figure(label, rake, find_expanded(find, *_digits(form)))


def _working(form: RakeForm, face: Face, flank: Flank, zero: float | None, rake: float | None) -> list[WorkingStep]:
    unit, radius, after = form.unit, form.mm("diameter") / 2, form.mm("after") / 2
    base = formatting.letters(unit, r=radius, r_c=face.core_mm) + f", γ = {formatting.degrees(form.rad('rake'))}"
    basis = "tangent circles" if face.assumed else "the arc as measured"
    arc = "straight face, since r_c + r sin γ is not above 0"
    if face.half_curvature:
        arc = f"ρ = {formatting.fine_both(0.5 / face.half_curvature, unit)}"
    lines = [
        WorkingStep("ρ = (r² − r_c²) / (2 (r_c + r sin γ))" if face.assumed else "ρ as measured", base, arc, basis)
    ]
    if zero is not None:
        lines.append(
            WorkingStep(
                "D₀ = 2 √(a² − ρ²), a² = r² + ρ² − 2 r ρ sin γ",
                base,
                f"D₀ = {formatting.fine_both(zero, unit)}",
                basis,
            )
        )
    if rake is not None:
        lines.append(
            WorkingStep(
                "sin γ(x) = (x² + ρ² − a²) / (2 x ρ)",
                formatting.letters(unit, x=after),
                f"γ = {formatting.degrees(rake, 3)} at D′ {formatting.fine(2 * after, unit)}",
                basis,
            )
        )
    straight = find_straight_rake(face, after)
    if straight is not None:
        lines.append(
            WorkingStep(
                "a straight face: sin γ(x) = r sin γ / x",
                formatting.letters(unit, r=radius, x=after),
                f"γ = {formatting.degrees(straight, 3)}: it rises, where the curved face’s falls",
                "sine rule in the section",
            )
        )
    return [*lines, *_flank_lines(form, face, flank), formatting.budget("D₀", form)]


def _flank_lines(form: RakeForm, face: Face, flank: Flank) -> list[WorkingStep]:
    unit, radius, after = form.unit, form.mm("diameter") / 2, form.mm("after") / 2
    land, lines = find_land(face, flank, radius, after), []
    if land is not None and land < 2 * after:
        drop = find_heel_drop(after, land, flank.primary_rad)
        lines.append(
            WorkingStep(
                "the new primary line met by the old secondary; drop = x − √(x² − 2 x w sin α₁ + w²)",
                formatting.letters(unit, land=flank.land_mm, x=after)
                + f", α₁ = {formatting.degrees(flank.primary_rad)}",
                f"land {formatting.fine_both(land, unit)}; drop at its heel {formatting.fine_both(drop, unit)}",
                "two lines in the section; cosine rule",
            )
        )
    helix = find_helix(form.rad("helix"), radius, after)
    lines.append(
        WorkingStep(
            "tan β′ = tan β · x / r",
            f"β = {formatting.degrees(form.rad('helix'))}",
            f"β′ = {formatting.degrees(helix, 3)}",
            "the lead stays",
        )
    )
    return lines


def _notes(face: Face) -> list[str]:
    if not face.assumed:
        return ["The face’s arc was measured: the rake is a hard limit."]
    return [
        "The face is assumed to be one arc that touches the core. That errs on the careful side: with usual "
        "cores it reaches zero after 3.5 to 11.7 % of the diameter, while makers’ published limits allow 8 to "
        "15 %. A rake found so is a reason to ask, never to scrap."
    ]
