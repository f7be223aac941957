"""Lengths measured on a photo, against simulated taps and what no scale may change."""

import math
import random
import statistics

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from regrind.geometry.errors import Refused
from regrind.geometry.photo_scale import Taps, measure_on_photo

places = st.floats(0, 4000)
SCALE = Taps(100, 100, 900, 100)


def test_a_length_is_to_the_scale_as_its_pixels_are():
    """By hand: 8 mm over 800 px is 0.01 mm a pixel; a 3-4-5 triangle of 30 and 40 px is 50 px, 0.5 mm."""
    measured = measure_on_photo(SCALE, 8.0, 0.0, Taps(10, 10, 40, 50), 0.0)
    assert (measured.pixel_mm, measured.length_mm, measured.standard_uncertainty_mm) == pytest.approx((0.01, 0.5, 0.0))


def test_the_uncertainty_is_that_of_taps_simulated_many_times():
    """Propagation of distributions (JCGM 101:2008): taps thrown uniformly along the line, the known size normally."""
    chance, off, wanted = random.Random(17), 3.0, Taps(200, 200, 260, 200)

    def thrown(taps: Taps) -> Taps:
        return Taps(taps.x1 + chance.uniform(-off, off), taps.y1, taps.x2 + chance.uniform(-off, off), taps.y2)

    lengths = [
        measure_on_photo(thrown(SCALE), chance.gauss(8.0, 0.02), 0.0, thrown(wanted), 0.0).length_mm
        for _ in range(20_000)
    ]
    measured = measure_on_photo(SCALE, 8.0, 0.02, wanted, off)
    assert statistics.stdev(lengths) == pytest.approx(measured.standard_uncertainty_mm, rel=0.03)
    assert statistics.mean(lengths) == pytest.approx(measured.length_mm, rel=0.002)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # the machine may be busy
@given(places, places, places, places, st.floats(0.1, 4), st.floats(-math.pi, math.pi))
def test_turning_or_enlarging_the_photo_changes_no_length(x1, y1, x2, y2, factor, angle):
    """The same picture at another size or turned about: pixels and how far a tap is off grow alike."""
    wanted = Taps(x1, y1, x2, y2)
    if wanted.length_px < 20:
        return

    def moved(taps: Taps) -> Taps:
        def place(x: float, y: float) -> tuple[float, float]:
            turned = complex(x, y) * complex(math.cos(angle), math.sin(angle)) * factor
            return turned.real + 30_000, turned.imag + 30_000

        return Taps(*place(taps.x1, taps.y1), *place(taps.x2, taps.y2))

    plain = measure_on_photo(SCALE, 8.0, 0.01, wanted, 2.0)
    other = measure_on_photo(moved(SCALE), 8.0, 0.01, moved(wanted), 2.0 * factor)
    assert other.length_mm == pytest.approx(plain.length_mm, rel=1e-6)
    assert other.standard_uncertainty_mm == pytest.approx(plain.standard_uncertainty_mm, rel=1e-6)


@pytest.mark.parametrize(
    ("scale", "known", "spread", "wanted", "off", "field"),
    [
        (Taps(0, 0, 49, 0), 8.0, 0.0, SCALE, 1.0, "scale"),
        (SCALE, 8.0, 0.0, Taps(5, 5, 5, 5), 1.0, "wanted"),
        (SCALE, 0.0, 0.0, SCALE, 1.0, "known_mm"),
        (SCALE, 8.0, 0.81, SCALE, 1.0, "known_uncertainty_mm"),
        (SCALE, 8.0, 0.0, SCALE, 101.0, "tap_off_px"),
        (SCALE, 8.0, 0.0, Taps(math.nan, 0, 5, 5), 1.0, "x1"),
    ],
)
def test_what_cannot_be_measured_is_refused_by_name(scale, known, spread, wanted, off, field):
    with pytest.raises(Refused) as refused:
        measure_on_photo(scale, known, spread, wanted, off)
    assert refused.value.field == field
