"""What grinding the flute face takes: how the edge, the diameter and the relief come out, and how the tool is set."""

from collections.abc import Mapping

from regrind.geometry.damage import Flank
from regrind.geometry.errors import Refused
from regrind.geometry.face_grind import Faced, FaceTooth, find_finish_back, grind_face
from regrind.geometry.inputs import ReliefForm

from . import formatting
from .draw_faced import draw_faced
from .fields import CalculatorForm, angle, choice, digit, length
from .result import CalculatorResult, Figure, WorkingStep, find_expanded

FIELDS = {"diameter_mm": "diameter", "rake_rad": "rake", "relief_rad": "relief", "back_mm": "back"}
FORMS = [("spiral", "form-relieved or eccentric"), ("flat", "a flat land")]
LEAST_LEFT = 0.5  # of the radius: what is ground away beyond that is no regrind
_NOTES = [
    "The wheel’s plane stays behind the axis by the set-over, and the tool is turned into it. Feeding the wheel across "
    "instead changes rake and form.",
    "On a form-relieved tool the relief hardly changes; on a flat land it falls with every grind.",
    "A hooked face needs a formed wheel. The runout of the teeth stays as it is.",
]


class FaceForm(CalculatorForm):
    diameter = length("Diameter", mm="20.000", inch=".7500", least_mm=0.5)
    rake = angle("Radial rake", "12", least=-30, most=40)
    relief = angle("Primary relief", "9", least=1, most=40)
    relief_form = choice("The relief is", FORMS, "spiral")
    back = length("Wear reaches back from the edge", mm="0.300", inch=".0120", most_nm=50_000_000)
    finish = length("Finish allowance", mm="0.020", inch=".0010", least_mm=0, most_nm=2_000_000, needed=False)
    diameter_digit = digit("Diameter read to", mm="0.01", inch=".0005")
    back_digit = digit("Wear read to", mm="0.02", inch=".001")
    rake_digit = angle("Rake read to", "1", most=10, needed=False)
    relief_digit = angle("Relief read to", "1", most=10, needed=False)


def grind(values: Mapping[str, float], finish_mm: float, relief_form: ReliefForm) -> tuple[Faced, float]:
    """The tooth after its face was ground, and how far behind the old edge the new one stands, in mm."""
    flank = Flank(values["relief_rad"], None, 0.0)
    back = values["back_mm"] + find_finish_back(finish_mm, flank, values["rake_rad"])
    radius = values["diameter_mm"] / 2
    faced = grind_face(FaceTooth(radius, values["rake_rad"], flank, relief_form), back)
    if back > LEAST_LEFT * radius or faced.radius_mm < LEAST_LEFT * radius:
        raise Refused("back_mm", f"must be below {LEAST_LEFT * radius:.6g} mm, half the radius, with the finish")
    return faced, back


def work_out(form: FaceForm) -> CalculatorResult:
    """Diameter after, stock, set-over, turn and relief; each with its uncertainty."""
    values = {"diameter_mm": form.mm("diameter"), "rake_rad": form.rad("rake")}
    values |= {"relief_rad": form.rad("relief"), "back_mm": form.mm("back")}
    faced, back = grind(values, form.mm("finish"), form.cleaned_data["relief_form"])
    radius, unit = values["diameter_mm"] / 2, form.unit
    return CalculatorResult(
        _figures(form, faced, values),
        draw_faced(radius, values["rake_rad"], values["relief_rad"], back, faced, unit),
        [*_explain(form, faced, back), formatting.budget("D′", form)],
        [
            ("b", "how far the wear reaches back from the edge, and what the finish adds"),
            ("e", "set-over: the wheel’s plane behind the axis"),
            ("D′", "diameter after"),
            ("τ", "turn of the tool, from the old face to the new"),
        ],
        _NOTES,
    )


def _figures(form: FaceForm, faced: Faced, values: dict[str, float]) -> list[Figure]:
    digits = {"diameter_mm": form.mm("diameter_digit"), "back_mm": form.mm("back_digit")}
    digits |= {"rake_rad": form.rad("rake_digit"), "relief_rad": form.rad("relief_digit")}
    finish, relief_form, unit = form.mm("finish"), form.cleaned_data["relief_form"], form.unit

    def sure(name: str, times: float = 1.0) -> float:
        def act(**typed: float) -> float:
            value: float = getattr(grind(typed, finish, relief_form)[0], name)
            return times * value

        return find_expanded(act, values, digits)

    return [
        formatting.length_figure("Diameter after", 2 * faced.radius_mm, unit, sure("radius_mm", 2)),
        formatting.length_figure("Stock off the face, at the old edge", faced.stock_mm, unit, sure("stock_mm")),
        formatting.length_figure("Wheel’s plane behind the axis", faced.set_over_mm, unit, sure("set_over_mm")),
        formatting.angle_figure("Turn of the tool", faced.turn_rad, sure("turn_rad")),
        formatting.angle_figure("Relief at the new edge", faced.relief_rad, sure("relief_rad")),
        formatting.angle_figure("Rake at the new edge", faced.rake_rad, sure("rake_rad")),
    ]


def _explain(form: FaceForm, faced: Faced, back: float) -> list[WorkingStep]:
    radius, rake, unit = form.mm("diameter") / 2, formatting.degrees(form.rad("rake")), form.unit
    flat = form.cleaned_data["relief_form"] == "flat"
    return [
        WorkingStep(
            "e = r sin γ",
            f"{formatting.letters(unit, r=radius)}, γ = {rake}",
            f"e = {formatting.fine_both(faced.set_over_mm, unit)}",
            "the face’s plane passes the axis at that distance, before and after",
        ),
        WorkingStep(
            "D′ = 2 √(b² + (r − b tan α)²)" if flat else "D′ = 2 (r − b tan α)",
            f"{formatting.letters(unit, r=radius, b=back)}, α = {formatting.degrees(form.rad('relief'))}",
            f"D′ = {formatting.fine_both(2 * faced.radius_mm, unit)}",
            "the new edge lies on the old flank" + (", a straight line" if flat else ", which falls evenly"),
        ),
    ]
