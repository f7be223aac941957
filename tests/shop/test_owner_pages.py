from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from regrind.shop.models import Person, ShopSettings
from regrind.shop.owner.settings import shop_settings

pytestmark = pytest.mark.django_db
SETTINGS = {
    "name": "Kerf and Land",
    "unit": "in",
    "paper": "letter",
    "first_number": "1",
    "currency": "EUR",
    "size_step": ".0020",
    "finish_radial": "5 tenths",
    "finish_end": "2 thou",
    "stylus_distance": ".060",
    "dial_step_in": "1 tenth",
    "dial_step_mm": "0.002 mm",
}


@pytest.fixture
def desk(client, owner):
    client.force_login(owner)
    return client


def test_settings_are_read_in_the_benchs_spellings_and_kept_exactly(desk):
    assert desk.post(reverse("shop:settings"), SETTINGS | {"once": "a"}).status_code == 302
    row = shop_settings()
    assert (row.name, row.size_step_nm, row.finish_radial_nm) == ("Kerf and Land", 50_800, 12_700)


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("size_step", "0.2.5", "is not a length"),
        ("size_step", "5", "5 thou"),
        ("size_step", "3 in", "out of range"),
        ("currency", "euro", "three capitals"),
        ("name", "", "is required"),
    ],
)
def test_wrong_input_is_said_beside_its_field_and_kept(desk, field, text, words):
    answer = desk.post(reverse("shop:settings"), SETTINGS | {"once": "a", field: text})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert words in page
    assert f'value="{text}"' in page or not text
    assert not ShopSettings.objects.exists()


def test_a_logo_that_is_no_picture_is_refused(desk):
    logo = SimpleUploadedFile("a.png", b"<svg/>")
    answer = desk.post(reverse("shop:settings"), SETTINGS | {"once": "a", "logo": logo})
    assert answer.status_code == 422
    assert b"neither PNG nor JPEG" in answer.content


def picture(size, kind="PNG") -> bytes:
    out = BytesIO()
    Image.effect_noise(size, 90).convert("RGBA" if kind == "PNG" else "RGB").save(out, kind)
    return out.getvalue()


def send_logo(desk, content: bytes):
    return desk.post(reverse("shop:settings"), SETTINGS | {"once": "a", "logo": SimpleUploadedFile("a.png", content)})


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_logo_that_was_cut_off_is_refused_and_the_old_one_stays(desk, kind):
    whole = picture((200, 100), kind)
    answer = send_logo(desk, whole[: len(whole) // 2])
    assert answer.status_code == 422
    assert "The logo is damaged or cut short" in answer.content.decode()
    assert not ShopSettings.objects.exists()
    assert send_logo(desk, whole).status_code == 302
    assert Image.open(BytesIO(bytes(shop_settings().logo))).size == (200, 100)


def test_a_logo_that_unpacks_to_fifty_million_points_is_refused_by_its_head(desk):
    """7,071 on a side in 50 kB: every paper took long over it."""
    out = BytesIO()
    Image.new("1", (7_071, 7_071)).save(out, "PNG")
    assert len(out.getvalue()) < 300_000
    answer = send_logo(desk, out.getvalue())
    assert answer.status_code == 422
    assert "million pixels" in answer.content.decode()


def test_a_large_logo_is_kept_as_large_as_it_is_printed(desk):
    out = BytesIO()
    Image.new("L", (3_000, 1_000), 90).save(out, "PNG")
    assert send_logo(desk, out.getvalue()).status_code == 302
    assert Image.open(BytesIO(bytes(shop_settings().logo))).size == (1_000, 333)


def test_the_last_owner_stays_owner(desk, owner):
    answer = desk.post(reverse("shop:person", args=[owner.pk]), {"once": "a", "bench": "on", "is_active": "on"})
    assert answer.status_code == 422
    assert b"This is the only active owner." in answer.content
    assert Person.objects.get(pk=owner.pk).owner


def test_roles_change_and_a_short_password_is_refused(desk, bench_hand):
    address = reverse("shop:person", args=[bench_hand.pk])
    roles = {"front_desk": "on", "is_active": "on"}
    assert desk.post(address, roles | {"once": "a", "password": "short"}).status_code == 422
    assert desk.post(address, {"once": "b", "front_desk": "on", "is_active": "on"}).status_code == 302
    changed = Person.objects.get(pk=bench_hand.pk)
    assert (changed.front_desk, changed.bench) == (True, False)
    assert changed.check_password("a long password")
