"""A length measured on a photo: worked out by the pure module, stored with its taps, offered to the mark."""

import json

import pytest

from regrind.bench.models import Inspection, Photo

from .photo_maker import photo_of
from .tray import pieces_of

pytestmark = pytest.mark.django_db
TAPS = {
    "scale_1_x": "100",
    "scale_1_y": "50",
    "scale_2_x": "900",
    "scale_2_y": "50",
    "damage_1_x": "200",
    "damage_1_y": "200",
    "damage_2_x": "200",
    "damage_2_y": "212",
}
WORDS = "wear land 0.120 mm ± 0.033 mm on the photo; tilt and lens are not in it"
SENT = TAPS | {"known": "8 mm", "known_off": "", "quantity": "wear_land", "tap_off": "2"}


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "photos"


@pytest.fixture
def photo(make_batch, bench_hand, customer) -> Photo:
    customer.unit = "mm"
    customer.save()
    line = make_batch(2).lines.get()
    piece = pieces_of(line)[0]
    return photo_of(by=bench_hand, line=line, piece=piece)


def test_the_taps_are_worked_out_and_nothing_is_stored_until_that_is_asked_for(at_bench, photo):
    """By hand: 8 mm over 800 px, 12 px: 0.120 mm; sqrt(2/3) of 2 px at each: 0.016 mm, doubled for k = 2."""
    page = at_bench.post(f"/bench/photo/{photo.pk}/measure", do="work", **SENT)
    assert page.status_code == 200
    assert page.context["result"].replace("\u202f", " ") == WORDS
    assert Photo.objects.count() == 1


def test_it_is_stored_with_its_taps_as_a_photo_of_the_same_file_and_offered_to_a_mark(at_bench, photo):
    assert at_bench.post(f"/bench/photo/{photo.pk}/measure", do="save", **SENT).status_code == 302
    stored = Photo.objects.latest("pk")
    values = json.loads(stored.measured)
    assert (stored.sha256, stored.piece, stored.about) == (photo.sha256, photo.piece, "damage")
    assert (values["nm"], values["known_nm"], values["damage_2"]) == (120_000, 8_000_000, [200.0, 212.0])
    history = at_bench.get(f"/bench/{photo.line}/photos").content.decode().replace("\u202f", " ")
    assert WORDS in history
    rows = {f"mark_{n}_wear_land": "" for n in range(1, 7)}
    tapped = (
        at_bench.post(f"/bench/{photo.line}/inspect", more="at:2:0", **rows).content.decode().replace("\u202f", " ")
    )
    assert 'data-fill="id_mark_1_wear_land"' in tapped
    assert f"0.120 mm, photo {stored.pk}" in tapped
    assert Inspection.objects.count() == 0


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"scale_2_x": ""}, "scale_2_x", "Tap the photo"),
        ({"scale_2_x": "120"}, "scale_2_x", "at least 50 px long"),
        ({"damage_2_y": "200"}, "damage_2_x", "at least 1 px long"),
        ({"known": "half"}, "known", ""),
        ({"known_off": "1 mm"}, "known_off", "from 0 to 0.8 mm"),
        ({"tap_off": "101"}, "tap_off", "From 0 to 100 pixels"),
    ],
)
def test_what_cannot_be_measured_is_said_beside_its_field(at_bench, photo, wrong, field, words):
    for do in ("work", "save"):
        page = at_bench.post(f"/bench/photo/{photo.pk}/measure", do=do, **SENT | wrong)
        assert page.status_code == 422
        assert words in " ".join(page.context["form"].errors[field])
    assert Photo.objects.count() == 1
