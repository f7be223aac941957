"""Template filters for lengths, angles, money and times, and the once-only key of a form."""

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from regrind.geometry import units
from regrind.geometry.units import Unit

from ..posts import idempotency

register = template.Library()


@register.filter
def length(nm: Any, unit: Unit | None = None) -> str | int:
    """`{{ nm|length:unit }}`: the figure with its unit, .2498 in or 6.345 mm; a dash where there is none.

    Without a unit it is the template language's own `length`, the count of a list.
    """
    if unit is None:
        return len(nm)
    return "–" if nm is None else units.show_with_unit(nm, unit)


@register.filter
def figure(nm: int | None, unit: Unit) -> str:
    """The figure alone, for tables whose head names the unit."""
    return "–" if nm is None else units.show(nm, unit)


@register.filter
def signed(nm: int | None, unit: Unit) -> str:
    return "–" if nm is None else units.show(nm, unit, sign=True)


@register.filter
def both(nm: int | None, unit: Unit) -> SafeString | str:
    """The reader's unit first, the other beside it in graphite."""
    if nm is None:
        return "–"
    first, other = units.both(nm, unit)
    return format_html('<span class="fig">{}</span> <span class="other">{}</span>', first, other)


@register.filter
def other(nm: int | None, unit: Unit) -> str:
    """The length in the unit that is not the reader's, where the first stands elsewhere, in a link say."""
    return "–" if nm is None else units.both(nm, unit)[1]


@register.filter
def mm(value: float | None, unit: Unit) -> str:
    """A stored plan's millimetres, shown in the reader's unit."""
    return "–" if value is None else units.show_with_unit(units.to_nm(value), unit)


@register.filter
def mm_both(value: float | None, unit: Unit) -> SafeString | str:
    return both(None if value is None else units.to_nm(value), unit)


@register.filter
def cdeg(value: int | None) -> str:
    """Hundredths of a degree as degrees."""
    return "–" if value is None else f"{value / 100:g}°"


@register.filter
def deg(value: float | None) -> str:
    return "–" if value is None else f"{value:.1f}°"


@register.filter
def money(minor: float | None, currency: str = "") -> str:
    """Minor units as an amount; a mean is rounded to the whole minor unit, once, here."""
    if minor is None:
        return "–"
    minor = round(minor)
    sign = units.MINUS if minor < 0 else ""
    return f"{sign}{abs(minor) // 100}.{abs(minor) % 100:02d}" + (f"\u202f{currency}" if currency else "")


@register.filter
def minutes(hundredths: int | None) -> str:
    return "–" if hundredths is None else f"{hundredths / 100:.1f}\u202fmin"


@register.filter
def get(mapping: Any, key: Any) -> Any:
    """`{{ mapping|get:key }}`"""
    return mapping.get(key) if hasattr(mapping, "get") else None


@register.simple_tag
def once_key() -> SafeString:
    """The once-only key of one writing form."""
    return format_html('<input type="hidden" name="{}" value="{}">', idempotency.FIELD, idempotency.new_key())
