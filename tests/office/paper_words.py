"""What a paper of the record says, and lengths as it writes them."""

from regrind.office.issuing import draft

from .conftest import words


def said(kind, number, **stock):
    return words(draft(kind, number, **stock).draw())


def inch(nm, places=4):
    """Inch as ASME Y14.5 writes it: no zero before the point, zeros kept at the end."""
    text = f"{nm / 25_400_000:.{places}f}"
    return text.removeprefix("0")


def mm(nm, places=3):
    return f"{nm / 1_000_000:.{places}f}"
