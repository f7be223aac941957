"""Photos: drawn afresh, kept under their hash, shown to people who are signed in, taken off and put back."""

import hashlib
import re
from datetime import timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from regrind.bench.models import Inspection, Photo
from regrind.bench.photographs.actions import MOST, add_again
from regrind.bench.photographs.shown import photos_of, photos_of_pieces
from regrind.bench.revisions import newest
from regrind.shop.events import Conflict, Refusal
from regrind.shop.files import photos
from regrind.shop.undo import undo

from .hostile_photos import corpus, exif
from .photo_maker import photo_of, picture

CORPUS = corpus()


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "photos"


def send(client, line, content: bytes = b"", name: str = "photo.jpg", **typed):
    file = SimpleUploadedFile(name, content or picture(exif=exif()))
    return client.post(f"/bench/{line}/photos", {"photo": file, "about": "damage", "once": "k1", **typed})


@pytest.fixture
def line(make_batch, client, bench_hand):
    client.force_login(bench_hand)
    return make_batch(3, number=417).lines.get()


def test_a_photo_is_kept_without_the_file_that_came(client, line, settings):
    content = picture(exif=exif())
    assert send(client, line, content, piece="1-2", caption="chipped").status_code == 302
    kept = Photo.objects.get()
    assert (str(kept.piece), kept.about, kept.caption) == ("417-1-2", "damage", "chipped")
    [file] = [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()]
    assert file == photos.path_of(kept.sha256)
    assert hashlib.sha256(file.read_bytes()).hexdigest() == kept.sha256
    assert b"Exif" in content
    assert b"Exif" not in file.read_bytes()
    assert "417-1-2" not in str(file)  # nobody's words in a path


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd",
        "a\0b.jpg",
        "..\\..\\boot.ini",
        "CON",
        "x" * 400 + ".jpg",
        "-rf.jpg",
        "photo.jpg.exe",
        "\u202egpj.exe",
        "'; DROP TABLE.jpg",
        "%2e%2e%2fa.jpg",
        " .jpg",
    ],
)
def test_a_file_name_is_never_used(name, client, line, settings):
    body = (
        b'--b\r\nContent-Disposition: form-data; name="once"\r\n\r\nk\r\n--b\r\nContent-Disposition: form-data; '
        b'name="about"\r\n\r\ndamage\r\n--b\r\nContent-Disposition: form-data; name="photo"; filename="'
        + name.encode()
        + b'"\r\nContent-Type: text/html\r\n\r\n'
        + picture()
        + b"\r\n--b--\r\n"
    )
    answer = client.post(f"/bench/{line}/photos", body, content_type="multipart/form-data; boundary=b")
    assert answer.status_code == 302
    files = [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()]
    assert files == [photos.path_of(Photo.objects.get().sha256)]


@pytest.mark.parametrize(
    "name", ["html named photo.jpg", "png bomb", "jpeg, half", "empty", "17 MB", "gif with script"]
)
def test_a_refused_file_is_told_beside_the_field_and_nothing_is_kept(name, client, line, settings):
    content, said = CORPUS[name]
    answer = client.post(
        f"/bench/{line}/photos",
        {
            "photo": SimpleUploadedFile("photo.jpg", content, "image/jpeg"),
            "about": "not_ground",
            "caption": "kept words",
            "once": "k",
        },
    )
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert "kept words" in answer.content.decode()
    assert not Photo.objects.exists()
    assert not settings.MEDIA_ROOT.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"piece": "2-1"}, "no piece of this line"),
        ({"piece": "nonsense"}, "no piece of this line"),
        ({"mark": "0"}, "counted from 1"),
        ({"mark": "2", "piece": "1-1"}, "not on record"),
        ({"mark": "1", "about": "received"}, "A mark is of the damage"),
        ({"about": "nothing"}, "Select a valid choice"),
    ],
)
def test_what_does_not_fit_is_told(typed, said, client, line):
    answer = send(client, line, **typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Photo.objects.exists()


def test_a_request_larger_than_any_form_is_not_read(client, line):
    answer = client.post(
        f"/bench/{line}/photos", b"x", content_type="multipart/form-data; boundary=b", CONTENT_LENGTH="40000001"
    )
    assert answer.status_code == 413
    assert "smaller size" in answer.content.decode()


def test_the_same_form_sent_twice_keeps_one_photo(client, line):
    for _ in range(2):
        assert send(client, line).status_code == 302
    assert Photo.objects.count() == 1


def test_a_photo_stands_with_the_inspection_that_it_shows(at_bench, inspected, client, bench_hand):
    line, ids = inspected(3)
    client.force_login(bench_hand)
    assert send(client, line, piece="1-1").status_code == 302
    kept = Photo.objects.get()
    assert kept.inspection == newest(Inspection, ids[:1])[ids[0]]


def test_a_damage_mark_of_the_inspection_can_be_named(at_bench, make_batch, inspect_typed, client, bench_hand):
    line = make_batch(1).lines.get()
    marks = {"mark_1_tooth": "2", "mark_1_from": "0", "mark_1_to": ".06", "mark_1_depth": ".004"}
    ids = list(line.pieces.values_list("pk", flat=True))
    assert at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed, **marks).status_code == 302
    client.force_login(bench_hand)
    assert send(client, line, piece="1-1", mark="1", once="a").status_code == 302
    assert send(client, line, piece="1-1", mark="2", once="b").status_code == 422
    assert Photo.objects.get().mark == 1


def test_a_photo_is_served_as_what_it_is(client, line, bench_hand):
    kept = photo_of(line, by=bench_hand)
    answer = client.get(f"/bench/photo/{kept.pk}")
    assert answer.content == photos.path_of(kept.sha256).read_bytes()
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"] == f'inline; filename="417-1-photo-{kept.pk}.jpg"'
    assert answer["Cache-Control"] == "private, no-cache"
    assert "sandbox" in answer["Content-Security-Policy"]
    again = client.get(f"/bench/photo/{kept.pk}", headers={"If-None-Match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_nobody_sees_a_photo_without_signing_in(client, line, bench_hand):
    kept = photo_of(line, by=bench_hand)
    client.logout()
    assert client.get(f"/bench/photo/{kept.pk}").status_code == 302


def test_a_photo_whose_file_is_gone_or_altered_is_told(client, line, bench_hand):
    kept = photo_of(line, by=bench_hand)
    for spoil in (lambda path: path.write_bytes(b"other"), lambda path: path.unlink()):
        spoil(photos.path_of(kept.sha256))
        assert client.get(f"/bench/photo/{kept.pk}").status_code == 410


def test_a_photo_that_is_removed_is_gone_and_can_be_added_again(client, line, bench_hand):
    kept = photo_of(line, by=bench_hand)
    assert client.post(f"/event/{kept.event_id}/undo", {"once": "a"}).status_code == 302
    assert photos_of(line) == []
    assert client.get(f"/bench/photo/{kept.pk}").status_code == 404
    assert "Add photo" in client.get(f"/bench/{line}/photos").content.decode()
    assert client.post(f"/bench/photo/{kept.pk}/add-again", {"once": "b"}).status_code == 302
    [again] = photos_of(line)
    assert (again.sha256, again.caption, again.about) == (kept.sha256, kept.caption, kept.about)
    assert Photo.every.count() == 2
    assert "Add photo" not in client.get(f"/bench/{line}/photos").content.decode()
    with pytest.raises(Refusal, match="was not removed"):
        add_again(by=bench_hand, photo=again)
    with time_machine.travel(timezone.now() + timedelta(days=9)):
        undo(by=bench_hand, done=again.event)  # at any time, without a reason
    assert photos_of(line) == []


def test_two_who_take_the_same_photo_off_meet(line, bench_hand):
    kept = photo_of(line, by=bench_hand)
    undo(by=bench_hand, done=kept.event)
    with pytest.raises(Conflict):
        undo(by=bench_hand, done=kept.event)


def test_a_line_holds_so_many_photos_and_no_more(line, bench_hand):
    for n in range(MOST):
        photo_of(line, by=bench_hand, colour=(n, 0, 0))
    with pytest.raises(Refusal, match=str(MOST)):
        photo_of(line, by=bench_hand)


def test_a_removed_photo_does_not_count_as_one_of_the_line(line, bench_hand):
    for n in range(MOST):
        last = photo_of(line, by=bench_hand, colour=(n, 0, 0))
    undo(by=bench_hand, done=last.event)
    assert photo_of(line, by=bench_hand)


def test_a_page_asks_as_much_for_many_pieces_with_photos_as_for_one(client, make_batch, bench_hand):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    client.force_login(bench_hand)
    counts = []
    for many in (1, 10):
        line = make_batch(many).lines.get()
        for piece in line.pieces.all():
            photo_of(line, piece, by=bench_hand)
        client.get(f"/bench/{line}/photos")
        with CaptureQueriesContext(connection) as asked:
            client.get(f"/bench/{line}/inspect")
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_photos_of_pieces_come_with_those_of_their_whole_line(line, bench_hand):
    pieces = list(line.pieces.all())
    own, whole = photo_of(line, pieces[0], by=bench_hand), photo_of(line, by=bench_hand)
    assert photos_of_pieces(pieces) == {pieces[0].pk: [own], None: [whole]}
    assert photos_of(line, pieces[1]) == [whole]


@pytest.mark.parametrize("where", ["/bench/417-1/inspect", "/bench/417-1/", "/bench/piece/417-1-1"])
def test_the_bench_pages_carry_the_panel(where, client, line, bench_hand):
    kept = photo_of(line, by=bench_hand)
    page = client.get(where).content.decode()
    assert f'src="/bench/photo/{kept.pk}"' in page
    assert "/bench/417-1/photos?about=" in page


def test_the_photo_is_asked_for_plainly(client, line):
    page = client.get("/bench/417-1/photos?about=not_ground&piece=1-2").content.decode()
    assert 'accept="image/*" capture="environment"' in page
    assert 'enctype="multipart/form-data"' in page
    assert 'value="1-2"' in page
    [chosen] = re.findall(r'<input type="radio"[^>]*checked[^>]*>', page)
    assert 'value="not_ground"' in chosen
