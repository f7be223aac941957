"""Other ways to an odd tool's diameter: a chord between two teeth, a pin bridging two, a gauge pin.

Teeth evenly spaced, except for the gauge pin, which holds for any index. Lengths are millimetres.
"""

import math
from collections.abc import Sequence

from regrind.geometry.errors import Refused
from regrind.geometry.gauging import MOST_TEETH, find_vee_angle
from regrind.geometry.ranges import require_above_zero, require_whole, require_within


def find_chord(diameter_mm: float, steps: int, teeth: int) -> float:
    """The distance in mm between the tips of two teeth that are `steps` apart: D sin(pi steps/N).

    diameter_mm: above 0. steps: from 1 to teeth - 1. teeth: 2 to 99, evenly spaced, all of one radius.
    Raises Refused naming the field and its range. Source: chord of a circle; shared/13.

    >>> round(find_chord(10.0, 1, 3), 4)
    8.6603
    """
    require_above_zero("diameter_mm", diameter_mm)
    return diameter_mm * _chord_sine(steps, teeth)


def find_diameter_from_chord(chord_mm: float, steps: int, teeth: int) -> float:
    """The diameter in mm from the distance between two tips, the inverse of `find_chord`.

    chord_mm: above 0. steps, teeth: as `find_chord`. With runout it is that of the circle through neither tip but
    near both. Raises Refused naming the field and its range. Source: as `find_chord`.

    >>> round(find_diameter_from_chord(8.6603, 1, 3), 3)
    10.0
    """
    require_above_zero("chord_mm", chord_mm)
    return chord_mm / _chord_sine(steps, teeth)


def find_over_pin(diameter_mm: float, pin_diameter_mm: float, teeth: int) -> float:
    """The reading in mm over one tooth and a pin that bridges the two teeth opposite it.

    diameter_mm: above 0. pin_diameter_mm: at least 2 D sin(pi/(2 N)), or it wedges between the tips and a
    larger tool could read the same; it must not touch the flute. teeth: odd, 3 to 99, evenly spaced.
    Raises Refused naming the field and its range.
    Source: r + r cos(pi/N) + sqrt((p/2)^2 - (r sin(pi/N))^2) + p/2 (docs/setup-notes.md); shared/13c.

    >>> round(find_over_pin(10.0, 8.0, 5), 4)
    15.7585
    """
    require_above_zero("diameter_mm", diameter_mm)
    require_above_zero("pin_diameter_mm", pin_diameter_mm)
    find_vee_angle(teeth)
    radius, pin, step = diameter_mm / 2, pin_diameter_mm / 2, math.pi / teeth
    least = 2 * diameter_mm * math.sin(step / 2)
    if pin_diameter_mm < least:
        raise Refused("pin_diameter_mm", f"must be at least {least:.6g} mm, or it wedges between the tips")
    beyond = math.sqrt(pin**2 - (radius * math.sin(step)) ** 2)
    return radius * (1 + math.cos(step)) + beyond + pin


def find_diameter_over_pin(reading_mm: float, pin_diameter_mm: float, teeth: int) -> float:
    """The diameter in mm from a reading over one tooth and a pin, the inverse of `find_over_pin`.

    reading_mm: above the pin's own diameter. teeth: odd, 3 or more. Of the two diameters that would read the same,
    the smaller is the answer: there the reading grows with the tool, and the pin does not yet wedge between the tips.
    Raises Refused naming `reading_mm` where no tool reads so over this pin, else the field and its range.
    Source: `find_over_pin` squared and solved for r (docs/setup-notes.md); shared/13c.

    >>> round(find_diameter_over_pin(15.758517, 8.0, 5), 4)
    10.0
    """
    require_above_zero("pin_diameter_mm", pin_diameter_mm)
    require_above_zero("reading_mm", reading_mm)
    find_vee_angle(teeth)
    pin, span = pin_diameter_mm / 2, reading_mm - pin_diameter_mm / 2
    lean = 1 + math.cos(math.pi / teeth)
    root = (span * lean) ** 2 - 2 * lean * (span**2 - pin**2)
    if span <= pin or root < 0:
        most = pin + pin * math.sqrt(2 / (2 - lean))
        raise Refused("reading_mm", f"must be above {pin_diameter_mm:.6g} and at most {most:.6g} mm here")
    return span - math.sqrt(root) / lean


def read_against_pin(pin_diameter_mm: float, readings_mm: Sequence[float]) -> list[float]:
    """Each tooth's radius in mm from an indicator that was zeroed on a gauge pin held on the same axis.

    pin_diameter_mm: above 0. readings_mm: one per tooth, from 2 to 99, positive where the tooth stands
    higher than the pin, each smaller than the pin's radius. Any index, and any runout. The swept diameter
    is twice the largest.
    Raises Refused naming the field and its range. Source: sum of pin radius and reading.

    >>> read_against_pin(6.0, [0.25, 0.0])
    [3.25, 3.0]
    """
    require_above_zero("pin_diameter_mm", pin_diameter_mm)
    require_whole("readings_mm", len(readings_mm), 2, MOST_TEETH)
    radius = pin_diameter_mm / 2
    for reading in readings_mm:
        require_within("readings_mm", reading, -radius / 2, radius)
    return [radius + reading for reading in readings_mm]


def _chord_sine(steps: int, teeth: int) -> float:
    require_whole("teeth", teeth, 2, MOST_TEETH)
    require_whole("steps", steps, 1, teeth - 1)
    return math.sin(math.pi * steps / teeth)
