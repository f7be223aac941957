"""Form fields of the counter: counts, sizes that may be in either unit, and lengths written back exactly."""

from django.core.exceptions import ValidationError

from regrind.geometry.units import NM_PER_IN, NeedsUnit, NotALength, Typed, Unit, other_unit, parse, show_with_unit
from regrind.shop.fields.forms import LengthText, ShopForm

from .line_parser.sizes import read_size


class SizeText(LengthText):
    """A tool's size: a bare whole number could be millimetres or inches, and is asked in one tap."""

    def _read(self, text: str) -> Typed:
        try:
            return read_size(text, self.unit)
        except NeedsUnit as ask:
            raise ValidationError(str(ask), code="needs_unit", params={"choices": ask.choices}) from ask
        except NotALength as error:
            raise ValidationError(str(error), code="not_a_length") from error


def set_unit(form: ShopForm, unit: Unit) -> None:
    """Read and echo every length of the form in `unit`."""

    def tell(name: str, field: LengthText) -> None:
        field.unit = unit
        field.widget.attrs["data-unit"] = unit

    form.each_length(tell)


def exact_text(nm: int | None, unit: Unit) -> str:
    """A stored length as text that reads back as the very same length: 1/4 in, .2498 in, 0.5 mm; "" for None.

    A 64th of an inch is written as a fraction; what the reader's unit does not hold exactly is in the other.
    """
    if nm is None:
        return ""
    if unit == "in" and nm and nm * 64 % NM_PER_IN == 0:
        return _fraction(nm * 64 // NM_PER_IN)
    for one in (unit, other_unit(unit)):
        text = _trimmed(nm, one)
        if parse(text).nm == nm:
            return text
    return f"{nm / 1_000_000:.6f} mm"


def _trimmed(nm: int, unit: Unit) -> str:
    figure, mark, name = show_with_unit(nm, unit).partition("\u202f")
    if unit == "mm" and "." in figure:
        figure = figure.rstrip("0").rstrip(".")
    return f"{figure} {name}" if mark else figure


def _fraction(sixtyfourths: int) -> str:
    whole, rest = divmod(sixtyfourths, 64)
    under = 64
    while rest and rest % 2 == 0:
        rest, under = rest // 2, under // 2
    part = f"{rest}/{under}" if rest else ""
    return f"{whole or ''}{'-' if whole and part else ''}{part} in"
