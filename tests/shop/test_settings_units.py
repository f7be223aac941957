"""A shop that turns to millimetres gets a millimetre shop's usual steps, and keeps what it set itself."""

import pytest

from regrind.shop.models import ShopSettings
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.owner.forms import ShopSettingsForm, initial_values
from regrind.shop.owner.settings import shop_settings

pytestmark = pytest.mark.django_db


def turn_to(unit: str, owner, **typed) -> ShopSettings:
    row = shop_settings()
    form = ShopSettingsForm({**initial_values(row), "unit": unit, **typed}, unit=row.unit)
    assert form.is_valid(), form.errors
    save_shop_settings(by=owner, **form.changes())
    return shop_settings()


def test_the_usual_lengths_follow_the_unit_there_and_back(owner):
    row = turn_to("mm", owner)
    assert (row.size_step_nm, row.finish_radial_nm, row.finish_end_nm, row.stylus_distance_nm) == (
        100_000,
        10_000,
        50_000,
        1_500_000,
    )
    row = turn_to("in", owner)
    assert (row.size_step_nm, row.finish_radial_nm) == (127_000, 12_700)


def test_what_the_shop_set_itself_stays(owner):
    row = turn_to("mm", owner, size_step=".004")
    assert row.size_step_nm == 101_600
    assert row.finish_end_nm == 50_000
