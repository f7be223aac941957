"""The owner's page of the program's settings: what it writes, what it refuses, what it says."""

import pytest
from django.urls import reverse

from regrind import settings_file
from regrind.shop.models import Event

pytestmark = pytest.mark.django_db
TYPED = {"time_zone": "Europe/Warsaw", "idle_hours": "2,5", "hosts": "Tools.example 192.168.1.20", "once": "k"}


@pytest.fixture
def page(client, owner, settings, tmp_path):
    settings.DATA = tmp_path
    settings.SETTINGS_AT_START = {}
    settings.SET_OUTSIDE = set()
    client.force_login(owner)
    return reverse("shop:program")


def test_it_writes_the_file_and_says_that_a_start_is_needed(client, page, tmp_path):
    assert "was changed" not in client.get(page).content.decode()
    answer = client.post(page, TYPED | {"backups": str(tmp_path)}, follow=True)
    assert settings_file.read_file(tmp_path) == {
        "time_zone": "Europe/Warsaw",
        "idle_hours": 2.5,
        "hosts": ["tools.example", "192.168.1.20"],
        "backups": str(tmp_path),
    }
    assert "was changed. Start the program again" in answer.content.decode()
    assert Event.objects.get().kind == "settings"
    assert 'value="Europe/Warsaw"' in client.get(page).content.decode()


def test_an_empty_field_takes_its_setting_out_and_the_rest_of_the_file_stays(client, page, tmp_path):
    settings_file.write(tmp_path, '# by hand\nport = 8123\ntime_zone = "Asia/Tokyo"\n')
    assert client.post(page, {"once": "k"}).status_code == 302
    assert settings_file.read_file(tmp_path) == {"port": 8123}
    assert "# by hand" in (tmp_path / "settings.toml").read_text()


@pytest.mark.parametrize(
    ("field", "text", "advice"),
    [
        ("time_zone", "Warsaw", "such as Europe/Warsaw"),
        ("idle_hours", "soon", "number of hours"),
        ("idle_hours", "0", "number of hours"),
        ("hosts", "http://tools.example/", "such as tools.example"),
        ("backups", "stick", "whole path"),
        ("backups", "/no/such/folder", "plug in its disk"),
    ],
)
def test_what_cannot_be_used_is_refused_beside_its_field(client, page, tmp_path, field, text, advice):
    answer = client.post(page, TYPED | {field: text})
    body = answer.content.decode()
    assert answer.status_code == 422
    assert text in body
    assert advice in body
    assert not (tmp_path / "settings.toml").exists()


def test_a_file_changed_meanwhile_is_not_written_over(client, page, tmp_path):
    import re

    version = re.search(r'name="version" value="(\w+)"', client.get(page).content.decode())[1]
    settings_file.write(tmp_path, 'time_zone = "Asia/Tokyo"\n')
    answer = client.post(page, TYPED | {"version": version})
    assert answer.status_code == 409
    assert "Asia/Tokyo" in answer.content.decode()
    assert settings_file.read_file(tmp_path) == {"time_zone": "Asia/Tokyo"}


def test_a_file_that_is_no_good_is_said_and_left(client, page, tmp_path):
    settings_file.write(tmp_path, "prot = 1\n")
    body = client.get(page).content.decode()
    assert "no setting" in body
    assert "<form" not in body.split("<main")[1]
    assert client.post(page, TYPED).status_code == 422
    assert (tmp_path / "settings.toml").read_text() == "prot = 1\n"


def test_what_the_environment_decides_is_said(client, page, settings):
    settings.SET_OUTSIDE = {"REGRIND_HOSTS", "PATH"}
    assert "does not count: REGRIND_HOSTS." in client.get(page).content.decode()


def test_it_says_where_the_data_are(client, page, tmp_path, settings):
    body = client.get(page).content.decode()
    for place in (tmp_path, settings.MEDIA_ROOT, settings.BACKUPS, tmp_path / "settings.toml"):
        assert str(place) in body
