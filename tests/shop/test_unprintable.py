"""Letters that no paper can print are refused beside their field, and named."""

import pytest
from django import forms

from regrind.paper.text import clean, unprintable
from regrind.shop.fields.forms import ShopForm


class NameForm(ShopForm):
    name = forms.CharField(required=False)
    password = forms.CharField(required=False, widget=forms.PasswordInput)


@pytest.mark.parametrize(
    ("text", "signs"),
    [("漢字 Tools", "漢 字"), ("شركة", "ش ر ك ة"), ("כלים", "כ ל י ם"), ("เครื่อง", "เ ค ร อ ง"), ("Fräser 🔧", "🔧")],
)
def test_letters_without_a_glyph_are_named_and_what_was_typed_stays(text, signs):
    form = NameForm({"name": text, "password": text})
    assert not form.is_valid()
    assert list(form.errors) == ["name"]
    assert f"cannot print {signs}." in form.errors["name"][0]
    assert form["name"].value() == text


@pytest.mark.parametrize("text", ["Łódź", "Κοπτικό", "Фреза", "Ñandú Šumava", "½ × 30° ± ⌀", "a\nb\tc", ""])
def test_what_the_font_has_is_taken_and_prints_without_a_box(text):
    form = NameForm({"name": text})
    assert form.is_valid()
    assert unprintable(text) == ""
    assert "□" not in clean(text)
