"""The shared parts of pages as template tags; templates/shop/parts/README lists them, /dev/parts shows them."""

from typing import Any

from django import template
from django.core.exceptions import ValidationError
from django.forms import BoundField, DateField, DateTimeField
from django.template import Context
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

register = template.Library()

# A limit's state or a verdict: its word, and the style that draws its shape
STATES = {
    "inside": ("inside", "inside"),
    "too_close": ("too close to call", "close"),
    "outside": ("outside", "outside"),
    "grind": ("grind", "inside"),
    "sound": ("sound", "inside"),
    "ask": ("ask", "close"),
    "scrap": ("not worth grinding", "outside"),
}


@register.simple_tag(takes_context=True)
def page_data(context: Context) -> SafeString:
    """The data attributes of a page that its scripts read: addresses, and the hand of whoever is signed in."""
    data = {"echo": reverse("shop:echo")}
    person = context.get("user")
    if person is not None and person.is_authenticated:
        data |= {"draft": reverse("shop:draft"), "open": reverse("today:open")}
        data |= {"hand": "left"} if person.left_handed else {}
        data |= {"answers": "post"} if _is_posted(context) else {}
    return format_html_join(" ", 'data-{}="{}"', data.items())


def _is_posted(context: Context) -> bool:
    """Whether the page answers a form that was sent: then all that was typed stands on it, and no draft is offered."""
    return getattr(context.get("request"), "method", "") == "POST"


@register.inclusion_tag("shop/parts/trail.html")
def trail(*steps: Any) -> dict[str, Any]:
    """`{% trail "Shop" "shop:settings" %}`: the pages above this one, pairs of a label and an address or its name."""
    addresses = (str(step) if str(step).startswith("/") else reverse(str(step)) for step in steps[1::2])
    return {"steps": list(zip(steps[::2], addresses, strict=True))}


@register.simple_block_tag
def page_head(content: str, title: Any) -> SafeString:
    """`{% page_head "Tablets" %} facts and buttons {% endpage_head %}`: the title of the page, alone on it."""
    return format_html('<div class="head"><h1>{}</h1>{}</div>', title, content)


@register.simple_tag
def badge(label: str, style: str = "") -> SafeString:
    """A short word beside a name: "rush" and "assumed" have a style of their own."""
    return format_html('<span class="{}">{}</span>', f"mark {style}".strip(), label)


@register.simple_tag
def state(code: str) -> SafeString:
    """A limit's state or a verdict: a word and a shape first, colour last."""
    word, style = STATES.get(code, (code.replace("_", " "), "neutral"))
    return format_html('<span class="state {}"><span class="shape" aria-hidden="true"></span>{}</span>', style, word)


@register.simple_tag
def field(bound: BoundField, unit: str = "", hint: str = "", wide: bool = False) -> SafeString:
    """One form field: label above, the control, how it was read beside it, its error below.

    Browsers write a day in an order of their own: beside it a script says which day that is. Written here and not by a
    template: a page of the bench has eighty fields, and a template took a quarter of its time.
    """
    errors = bound.errors.as_data()
    hint = hint or str(bound.help_text)
    is_length = "length" in _css_class(bound)
    unit = unit or _unit_of(bound, is_length)
    return format_html(
        '<div class="{}"><label for="{}">{}{}</label>{}{}{}{}{}</div>',
        _field_classes(bound, wide),
        bound.id_for_label,
        bound.label,
        format_html(' <span class="quiet">({})</span>', unit) if unit else "",
        bound.as_widget(attrs=_aria(bound, bool(errors), bool(hint), is_length)),
        format_html('<span class="beside" id="{}_hint">{}</span>', bound.auto_id, hint) if hint else "",
        _filled_by_script(bound, "echo") if is_length else "",
        _filled_by_script(bound, "day") if isinstance(bound.field, DateField | DateTimeField) else "",
        _errors(bound, errors) if errors else "",
    )


def _filled_by_script(bound: BoundField, name: str) -> SafeString:
    return format_html('<span class="beside" id="{}_{}" aria-live="polite"></span>', bound.auto_id, name)


def _errors(bound: BoundField, errors: list[ValidationError]) -> SafeString:
    """What is wrong with a field, and the values it may be meant for, to be tapped."""
    choices = [choice for error in errors for choice in (error.params or {}).get("choices", [])]
    buttons = format_html_join("", '<button type="button" data-choice="{0}">{0}</button>', ((one,) for one in choices))
    return format_html(
        '<div class="error" id="{}_error">{}{}</div>',
        bound.auto_id,
        format_html_join("", "<p>{}</p>", ((text,) for text in bound.errors)),
        format_html('<div class="choices">{}</div>', buttons) if choices else "",
    )


def _unit_of(bound: BoundField, is_length: bool) -> str:
    """The unit that a bare figure is read in: of a length or a number its own, of an angle degrees."""
    named = getattr(bound.field, "unit_name", None)
    if is_length or named is not None:
        return str(getattr(bound.field, "unit", "") if named is None else named)
    return "°" if "angle" in _css_class(bound) else ""


def _css_class(bound: BoundField) -> str:
    return str(bound.field.widget.attrs.get("class", ""))


def _aria(bound: BoundField, wrong: bool, hint: bool, is_length: bool) -> dict[str, Any]:
    """The attributes that connect a control with its error, its hint and its echo."""
    parts = (("error", wrong), ("hint", hint), ("echo", is_length))
    described_by = " ".join(f"{bound.auto_id}_{name}" for name, there in parts if there)
    return ({"aria-describedby": described_by} if described_by else {}) | ({"aria-invalid": "true"} if wrong else {})


def _field_classes(bound: BoundField, wide: bool) -> str:
    is_check = getattr(bound.field.widget, "input_type", "") == "checkbox"
    wanted = bound.field.required or bound.field.widget.attrs.get("aria-required")
    needed = wanted and not is_check and not bound.value()
    return " ".join(
        name for name, on in (("field", True), ("wide", wide), ("check", is_check), ("required", needed)) if on
    )
