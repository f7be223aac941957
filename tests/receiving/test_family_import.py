"""Tool families from a table or from words: each read as the lines of a box are, none made twice, doubts said."""

import pytest

from regrind.receiving.family_import import read_families
from regrind.receiving.packing_list.cells import Refused
from regrind.record.models import Family
from tests.receiving.test_customer_import import hidden_of

pytestmark = pytest.mark.django_db
PAGE = "/receiving/families/import"
TABLE = (
    "Description;Dia mm;Flutes;Overall length;Coating\n"
    "End mill carbide;8;4;63;AlCrN\n"
    "Ball nose carbide;6;2;57;TiAlN\n"
    "Ball nose carbide;6;2;57;TiAlN\n"
    ";;;;\n"
)


def test_a_table_without_counts_is_read_by_its_columns_and_like_rows_are_one():
    read = read_families(TABLE, b"", "mm")
    assert [name for _, name in read.rows] == [
        "8\u202fmm, 4 flutes, end mill, square, carbide, AlCrN",
        "6\u202fmm, 2 flutes, end mill, ball, carbide, TiAlN",
    ]
    assert [one["overall_nm"] for one in read.properties] == [63_000_000, 57_000_000]
    assert not read.unclear


def test_a_line_of_words_for_each_and_what_is_here_already_is_said(family):
    words = f"{family.name('in')}\n3/8 4 flute carbide 35° TiN\nsome tool"
    read = read_families(words, b"", "in")
    assert [name for _, name in read.rows] == ["3/8\u202fin, 4 flutes, end mill, square, carbide, TiN, 35°"]
    assert len(read.known) + len(read.unclear) + len(read.left_out) == 2


def test_a_size_that_could_be_two_lengths_is_asked_about_and_not_saved():
    read = read_families("drill 6.8 HSS\n10 mm 2 flute carbide", b"", "in")
    assert [name.partition(",")[0] for _, name in read.rows] == ["10\u202fmm"]
    [(words, doubt)] = read.unclear
    assert words == "drill 6.8 HSS"
    assert "6.8\u202fmm" in doubt or "6.8 mm" in doubt


def test_an_empty_table_is_refused():
    with pytest.raises(Refused, match="empty"):
        read_families("\n\n", b"", "in")


def test_nothing_is_saved_before_the_page_that_shows_it_and_none_twice(counter):
    shown = counter.client.post(PAGE, {"text": TABLE})
    assert "Save 2 families" in " ".join(shown.content.decode().split())
    assert not Family.objects.exists()
    assert counter.client.post(PAGE, hidden_of(shown) | {"do": "save"}).status_code == 302
    assert sorted(Family.objects.values_list("nominal_nm", flat=True)) == [6_000_000, 8_000_000]
    again = counter.client.post(PAGE, {"text": TABLE})
    assert "None of the rows is a new family" in again.content.decode()
