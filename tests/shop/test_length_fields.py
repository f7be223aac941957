"""Length fields: a unit that was chosen before for a bare whole number is used where the number fits it."""

import pytest
from django.core.exceptions import ValidationError

from regrind.shop.fields.forms import LengthText


def test_a_remembered_unit_is_used_for_a_bare_whole_number():
    assert LengthText(remembered="thou").clean("5").nm == 127_000


@pytest.mark.parametrize("number", ["500", "400000"])
def test_a_number_too_large_for_the_remembered_unit_is_asked_about(number):
    """2 in, then 500: 500 in is longer than any length here (ten metres), so the unit is asked for again."""
    with pytest.raises(ValidationError) as caught:
        LengthText(remembered="in").clean(number)
    assert caught.value.code == "needs_unit"
    assert f"{number} thou" in caught.value.params["choices"] or f"{number} mm" in caught.value.params["choices"]


def test_the_error_names_the_allowed_range():
    with pytest.raises(ValidationError) as caught:
        LengthText(unit="mm", least_nm=1_000_000, most_nm=50_000_000).clean("60 mm")
    assert "60 mm is out of range. Write a length from 1.000" in caught.value.message


def test_a_whole_number_in_a_field_of_millimetres_is_read_so_where_it_holds_a_tools_lengths():
    assert LengthText(unit="mm", most_nm=1_000_000_000).clean("60").nm == 60_000_000


@pytest.mark.parametrize(
    ("most_nm", "number"), [(50_000_000, "60"), (1_000_000_000, "6000"), (None, "60")], ids=["depth", "too long", "any"]
)
def test_else_both_readings_are_named_as_the_pad_spells_them(most_nm, number):
    with pytest.raises(ValidationError) as caught:
        LengthText(unit="mm", most_nm=most_nm).clean(number)
    assert caught.value.params["choices"] == [f"{number} mm", f"{number} µm"]
