"""End teeth read one by one, and their wear land: from the inspection to the plan, against sums done by hand."""

import math

import pytest

from regrind.bench.inspecting.serialization import describe_inspection, to_form
from regrind.bench.models import Inspection
from regrind.record.models import Customer, Family

pytestmark = pytest.mark.django_db
FINISH = 0.0508  # mm, the shop's own for the end
LAGS = {"end_tooth_1": "0", "end_tooth_2": "-0.02 mm", "end_tooth_3": "-0.01 mm", "end_tooth_4": "-0.03 mm"}
TYPED = {"diameter": "10 mm", "diameter_source": "measured", "method": "micrometer", "flute_length": "22 mm"}


@pytest.fixture
def line(make_batch):
    family = Family.objects.create(kind="square", nominal_nm=10_000_000, teeth=4, material="carbide")
    return make_batch(1, of=family, owner=Customer.objects.create(name="Stillwell", unit="mm")).lines.get()


@pytest.fixture
def send(at_bench, line):
    ids = list(line.pieces.values_list("pk", flat=True))
    return lambda **typed: at_bench.post(f"/bench/{line}/inspect", pieces=ids, **TYPED | {"damage": "nothing"} | typed)


def cut_back(at_bench, line) -> float:
    group = at_bench.get(f"/bench/{line}/plan").context["group"]
    return next(option["cut_back_mm"] for option in group.options if not option["sides"])


def test_damage_on_the_end_and_the_lag_of_the_shortest_tooth_add_up(at_bench, line, send):
    """0.06 deep on a tooth that may be the shortest, 0.03 behind the longest: 0.09 and what finishes the end."""
    assert send(end_depth="0.06 mm", **LAGS).status_code == 302
    assert cut_back(at_bench, line) == pytest.approx(0.06 + 0.03 + FINISH)
    known = to_form(Inspection.objects.get())
    assert {name: known[name] for name in LAGS} == LAGS


def test_a_wear_land_on_the_end_is_as_deep_as_relief_and_rake_make_it(at_bench, line, send):
    """VB tan a / (1 - tan a tan g), the triangle of wear land, relief and rake."""
    assert send(end_wear_land="0.2 mm", end_primary="8", end_rake="6").status_code == 302
    relief, rake = math.radians(8), math.radians(6)
    deep = 0.2 * math.tan(relief) / (1 - math.tan(relief) * math.tan(rake))
    assert cut_back(at_bench, line) == pytest.approx(deep + FINISH, abs=1e-6)
    assert dict(describe_inspection(Inspection.objects.get(), "mm"))["Wear land on the end face"].startswith("0.200")


@pytest.mark.parametrize(
    ("typed", "field", "message"),
    [
        ({"end_wear_land": "0.2 mm", "end_rake": "6"}, "end_primary", "from 0° to 45°"),
        ({"end_wear_land": "0.2 mm", "end_primary": "8"}, "end_rake", "from -30° to 40°"),
        (
            {"end_wear_land": "0.2 mm", "end_primary": "8", "end_rake": "6", "end_depth": "0.1 mm"},
            "end_wear_land",
            "one",
        ),
        (
            {"end_tooth_1": "0", "end_tooth_2": "-0.02 mm"},
            "end_tooth_3",
            "Read every tooth, or none: the longest is 0.",
        ),
        (LAGS | {"end_tooth_1": "-0.01 mm"}, "end_tooth_1", "The longest tooth reads 0"),
        (LAGS | {"end_tooth_2": "0.02 mm"}, "end_tooth_2", "out of range"),
    ],
)
def test_what_is_missing_stands_beside_its_field_and_what_was_typed_stays(send, typed, field, message):
    answer = send(**typed)
    assert answer.status_code == 422
    form = answer.context["form"]
    assert any(message in error for error in form.errors[field]), dict(form.errors)
    assert all(f'value="{text}"' in answer.content.decode() for text in typed.values())
