"""Asked about or sent back at the inspection: one event, with the shop's reasons and a photo, and nothing measured."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from regrind.bench.models import Inspection, Photo, Plan
from regrind.record.models import Piece
from regrind.shop.models import Event
from regrind.shop.undo import undo

from .photo_maker import picture
from .tray import inspect, pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "photos"


@pytest.fixture
def line(make_batch):
    return make_batch(2).lines.get()


@pytest.fixture
def send(at_bench, line):
    """send(do="ask", usual_reason="cracked") -> the answer, of the line's first piece."""

    def post(**typed):
        page = at_bench.get(f"/bench/{line}/inspect")
        seen = page.context["form"]["seen"].value()
        first = str(line.pieces.order_by("number").first().pk)
        return at_bench.post(f"/bench/{line}/inspect", **{"pieces": first, "seen": seen} | typed)

    return post


def places(line) -> list[tuple[str, str]]:
    return list(line.pieces.order_by("number").values_list("status", "result"))


@pytest.mark.parametrize(
    ("do", "place"),
    [
        ("ask", ("waiting", "")),
        ("scrap", ("released", "scrap")),
        ("returned_unground", ("released", "returned_unground")),
    ],
)
def test_a_reason_of_the_shop_is_enough_and_one_undo_takes_all_back(send, line, bench_hand, do, place):
    answer = send(do=do, usual_reason="cracked", diameter="half a num")
    assert answer.status_code == 302, answer.content.decode()
    assert places(line) == [place, ("arrived", "")]
    assert Inspection.objects.get().unmeasurable_reason == "by_eye"
    assert "cracked" in Plan.objects.get().reason
    undo(done=Event.objects.get(kind="inspected"), by=bench_hand)
    assert places(line) == [("arrived", "")] * 2
    assert (Inspection.objects.count(), Plan.objects.count()) == (0, 0)


def test_the_photo_of_the_sheet_is_of_the_piece_and_why_it_is_not_ground(send):
    photo = SimpleUploadedFile("photo.jpg", picture())
    assert send(do="ask", usual_reason="cracked", photo=photo).status_code == 302
    stored = Photo.objects.get()
    assert (str(stored.piece), stored.about) == (str(Piece.objects.get(status="waiting")), "not_ground")


def test_without_a_reason_nothing_is_stored_and_what_was_typed_stays(send, line):
    answer = send(do="scrap", diameter=".2498")
    assert answer.status_code == 422
    html = answer.content.decode()
    assert "Say why, or tap a reason: the customer reads it." in html
    assert 'value=".2498"' in html
    assert places(line) == [("arrived", "")] * 2


def test_a_file_that_is_no_picture_is_refused_beside_its_field(send, line):
    answer = send(do="ask", usual_reason="cracked", photo=SimpleUploadedFile("photo.jpg", b"no picture"))
    assert answer.status_code == 422
    assert answer.context["sheet"].errors["photo"]
    assert places(line) == [("arrived", "")] * 2


def test_a_piece_with_readings_keeps_them_and_is_asked_about_on_its_plan(send, line, bench_hand):
    inspect(by=bench_hand, pieces=pieces_of(line)[:1], expected={}, damage="nothing", typed={})
    answer = send(do="ask", usual_reason="cracked")
    assert answer.status_code == 422
    assert "was inspected before: ask about it or return it on its plan" in answer.content.decode()
    assert Inspection.objects.get().damage == "nothing"


def test_who_asks_before_scrapping_is_asked(send, line, customer):
    customer.never_scrap_unasked = True
    customer.save()
    assert send(do="scrap", usual_reason="cracked").status_code == 422
    assert places(line) == [("arrived", "")] * 2
