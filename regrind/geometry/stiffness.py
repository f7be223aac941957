"""How much softer a reground tool is: a cantilever of round section."""

from regrind.geometry.ranges import require_above_zero


def find_stiffness_ratio(
    diameter_before_mm: float,
    diameter_after_mm: float,
    overhang_before_mm: float = 1.0,
    overhang_after_mm: float = 1.0,
) -> float:
    """Stiffness at the end after over before: (D after/D before)^4 (overhang before/overhang after)^3.

    All above 0, millimetres; overhangs may be left out where they stay. As if the core shrank with the
    diameter: an upper bound of the loss where only the sides are ground and the flute bottom is left. The
    bending diameter, about 0.8 D for two and four flutes, cancels. A number without a unit; deflection
    under the same force goes with its inverse.
    Raises Refused naming the field and its range.
    Source: beam theory, I = pi d^4/64 and deflection = F L^3/(3 E I); shared/21 and shared/18.

    >>> round(find_stiffness_ratio(10.0, 9.0), 4)
    0.6561
    """
    sizes = {
        "diameter_before_mm": diameter_before_mm,
        "diameter_after_mm": diameter_after_mm,
        "overhang_before_mm": overhang_before_mm,
        "overhang_after_mm": overhang_after_mm,
    }
    for field, value in sizes.items():
        require_above_zero(field, value)
    return (diameter_after_mm / diameter_before_mm) ** 4 * (overhang_before_mm / overhang_after_mm) ** 3
