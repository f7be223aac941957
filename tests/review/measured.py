"""Readings as the tests of the review write them."""

from regrind.bench.models import FinalCheck, Inspection
from regrind.bench.readings import Entry, make_reading
from regrind.geometry.units import Typed


def measure(row: Inspection | FinalCheck, nm: int) -> None:
    """A diameter read off no gauge in particular."""
    make_reading(row, Entry("diameter", Typed(nm, f"{nm / 1e6} mm", "mm")), None).save()
