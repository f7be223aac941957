"""Form controls written by Python against Django's own templates: the same elements, attributes and texts."""

from datetime import date
from html.parser import HTMLParser

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import mark_safe

from regrind.shop.web.form_controls import INPUTS, ControlRenderer

CHOICES = [
    ("", "-"),
    ("a<b", "A & <B>"),
    (3, "three"),
    (4, mark_safe("<b>bold</b>")),
    ("Group & more", [("x", 'the "x"'), (None, "none")]),
]
ATTRIBUTES = {"id": 'id_"&<', "class": "length <wide>", "disabled": True, "hidden": False, "min": 0, "data-x": "1'2"}
VALUES = [None, "", "a<b", 3, ["a<b", "x"], True, False, "</textarea><script>", "\nline\n", date(2026, 11, 30)]
WIDGETS = [
    forms.TextInput, forms.NumberInput, forms.EmailInput, forms.URLInput, forms.TelInput, forms.SearchInput,
    forms.PasswordInput, forms.HiddenInput, forms.CheckboxInput, forms.DateInput, forms.TimeInput, forms.FileInput,
    forms.Textarea, forms.Select, forms.SelectMultiple, forms.RadioSelect, forms.CheckboxSelectMultiple,
    forms.DateTimeInput, forms.ClearableFileInput,
]  # fmt: skip


class Elements(HTMLParser):
    """All that a browser sees, without the spaces between elements."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.seen: list[object] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, attrs))

    def handle_endtag(self, tag: str) -> None:
        self.seen.append(tag)

    def handle_data(self, data: str) -> None:
        inside_text = bool(self.seen) and isinstance(self.seen[-1], tuple) and self.seen[-1][0] == "textarea"
        if inside_text or data.strip():
            self.seen.append(data if inside_text else data.strip())


def widgets(kind: type[forms.Widget]) -> list[forms.Widget]:
    chooses = issubclass(kind, forms.Select | forms.RadioSelect)
    more = {"choices": CHOICES} if chooses else {}
    return [kind(**more), kind(attrs=ATTRIBUTES, **more)]


@pytest.mark.parametrize("kind", WIDGETS)
def test_a_control_is_written_as_django_writes_it(kind):
    for widget in widgets(kind):
        for value in VALUES:
            for name in ("depth", 'a"<b'):
                ours = widget.render(name, value, renderer=ControlRenderer())
                assert Elements(ours).seen == Elements(widget.render(name, value, renderer=DjangoTemplates())).seen


@pytest.mark.parametrize("name", INPUTS)
def test_every_written_template_is_one_of_django(name):
    assert DjangoTemplates().get_template(f"django/forms/widgets/{name}.html")


def test_what_a_person_typed_stays_text():
    html = forms.TextInput().render("depth", '"><script>', renderer=ControlRenderer())
    assert html == '<input type="text" name="depth" value="&quot;&gt;&lt;script&gt;">'
