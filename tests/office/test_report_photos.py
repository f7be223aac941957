"""The photos in a returned-tool report: those of what was not ground, each with its piece and why."""

import io

import pytest
from pypdf import PdfReader

from regrind.bench.planning.actions import decide
from regrind.office.issuing import draft, issue, read_file
from regrind.shop.files import photos
from regrind.shop.undo import undo
from tests.bench.photo_maker import photo_of

from .conftest import pieces_of, words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def photos_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "photos"


@pytest.fixture
def returned(make_batch, look, bench_hand):
    """A line of three: two go back unground, one as scrap."""
    line = make_batch(3, number=460).lines.get()
    pieces = pieces_of(line)
    look(pieces)
    for some, result, why in ((pieces[:2], "returned_unground", "core cracked"), (pieces[2:], "scrap", "shank bent")):
        decide(by=bench_hand, pieces=some, expected={}, decision="not_ground", result=result, reason=why)
    return line, pieces_of(line)


def images(pdf: bytes) -> int:
    return sum(len(page.images) for page in PdfReader(io.BytesIO(pdf)).pages)


def test_a_photo_stands_in_the_report_with_its_piece_and_why(returned, bench_hand):
    line, pieces = returned
    photo_of(line, pieces[1], by=bench_hand, caption="into the core")
    photo_of(line, pieces[2], by=bench_hand, about="not_ground", colour="blue")
    pdf = draft("report", "460").draw()
    text = words(pdf)
    assert images(pdf) == 2
    assert "core cracked (photo)" in text
    assert "returned unground: core cracked · 1-2, the damage, into the core" in text
    assert "scrap: shank bent · 1-3, why it is not ground" in text


def test_a_report_without_photos_has_none(returned):
    pdf = draft("report", "460").draw()
    assert images(pdf) == 0
    assert "photo" not in words(pdf)


def test_a_photo_taken_off_is_not_in_the_next_revision_and_stays_in_the_last(returned, bench_hand, front_desk):
    line, pieces = returned
    photo = photo_of(line, pieces[0], by=bench_hand)
    first = issue(by=front_desk, kind="report", number="460")
    bytes_then = read_file(first)
    assert issue(by=front_desk, kind="report", number="460") == first  # nothing changed: the same paper
    undo(by=bench_hand, done=photo.event)
    second = issue(by=front_desk, kind="report", number="460")
    assert (first.revision, second.revision) == (1, 2)
    assert (images(bytes_then), images(read_file(second))) == (1, 0)
    assert read_file(first) == bytes_then


def test_the_snapshot_names_each_photo_by_its_hash(returned, bench_hand):
    line, pieces = returned
    photo = photo_of(line, pieces[0], by=bench_hand)
    assert photo.sha256 in draft("report", "460").snapshot


def test_a_photo_of_a_whole_line_stands_where_it_says_why(returned, bench_hand):
    photo_of(returned[0], by=bench_hand, about="not_ground")
    photo_of(returned[0], by=bench_hand, about="received", colour="blue")
    entries = draft("report", "460").values.not_ground
    assert [len(one.photos) for one in entries] == [1, 1]
    assert "whole line" in entries[0].photos[0].caption


def test_a_photo_of_a_ground_piece_is_not_in_the_report(make_batch, finish, bench_hand):
    line = make_batch(1, number=461).lines.get()
    photo_of(line, pieces_of(line)[0], by=bench_hand)
    finish(line)
    assert images(draft("report", "461").draw()) == 0


def test_a_lost_file_is_told_on_the_report_instead_of_stopping_it(returned, bench_hand):
    line, pieces = returned
    photo = photo_of(line, pieces[0], by=bench_hand)
    photos.path_of(photo.sha256).unlink()
    assert "The photo could not be read" in words(draft("report", "460").draw())


def test_photos_do_not_ask_more_of_the_database(returned, bench_hand, django_assert_max_num_queries):
    line, pieces = returned
    counts = []
    for some in (pieces[:1], pieces[1:]):
        for piece in some:
            photo_of(line, piece, by=bench_hand)
        with django_assert_max_num_queries(40) as asked:
            draft("report", "460")
        counts.append(len(asked))
    assert len(set(counts)) == 1
