"""Form controls written by Python: Django writes each by three to thirty templates, most of a form page's time.

The elements and attributes are those of Django's own templates; tests/shop/test_form_controls.py compares the two.
"""

from collections.abc import Callable
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.utils.html import conditional_escape as escape
from django.utils.safestring import mark_safe

WIDGETS = "django/forms/widgets/"
INPUTS = ("text", "number", "email", "url", "tel", "search", "password", "hidden", "checkbox", "date", "time", "file")


class ControlRenderer(DjangoTemplates):
    """Writes inputs, selects, choices and text areas itself; any other control by Django's template."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        write = WRITERS.get(template_name)
        if write is None:
            return super().render(template_name, context, request)
        return mark_safe(write(context["widget"]))  # noqa: S308  # each part is escaped below


def write_attributes(attributes: dict[str, Any]) -> str:
    """A leading space and `name="value"` of each; True writes the bare name, False nothing."""
    return "".join(
        f" {name}" if value is True else f' {name}="{escape(value)}"'
        for name, value in attributes.items()
        if value is not False
    )


def write_input(widget: dict[str, Any]) -> str:
    value = "" if widget["value"] is None else f' value="{escape(widget["value"])}"'
    return (
        f'<input type="{escape(widget["type"])}" name="{escape(widget["name"])}"{value}'
        f"{write_attributes(widget['attrs'])}>"
    )


def write_textarea(widget: dict[str, Any]) -> str:
    text = escape(widget["value"]) if widget["value"] else ""
    return f'<textarea name="{escape(widget["name"])}"{write_attributes(widget["attrs"])}>\n{text}</textarea>'


def write_select(widget: dict[str, Any]) -> str:
    groups = "".join(_write_group(name, options) for name, options, _ in widget["optgroups"])
    return f'<select name="{escape(widget["name"])}"{write_attributes(widget["attrs"])}>{groups}</select>'


def _write_group(name: str | None, options: list[dict[str, Any]]) -> str:
    inside = "".join(
        f'<option value="{escape(option["value"])}"{write_attributes(option["attrs"])}>'
        f"{escape(option['label'])}</option>"
        for option in options
    )
    return f'<optgroup label="{escape(name)}">{inside}</optgroup>' if name else inside


def write_choices(widget: dict[str, Any]) -> str:
    """Radio buttons or check boxes, each in its label."""
    outer = {name: widget["attrs"][name] for name in ("id", "class") if widget["attrs"].get(name)}
    groups = "".join(_write_choice_group(name, options) for name, options, _ in widget["optgroups"])
    return f"<div{write_attributes(outer)}>{groups}</div>"


def _write_choice_group(name: str | None, options: list[dict[str, Any]]) -> str:
    inside = "".join(f"<div>{_write_choice(option)}</div>" for option in options)
    return f"<div><label>{escape(name)}</label>{inside}</div>" if name else inside


def _write_choice(option: dict[str, Any]) -> str:
    if not option.get("wrap_label"):
        return write_input(option)
    target = {"for": option["attrs"]["id"]} if option["attrs"].get("id") else {}
    return f"<label{write_attributes(target)}>{write_input(option)} {escape(option['label'])}</label>"


WRITERS: dict[str, Callable[[dict[str, Any]], str]] = {
    **{f"{WIDGETS}{name}.html": write_input for name in INPUTS},
    f"{WIDGETS}textarea.html": write_textarea,
    f"{WIDGETS}select.html": write_select,
    f"{WIDGETS}radio.html": write_choices,
    f"{WIDGETS}checkbox_select.html": write_choices,
}
