"""However long the list of a box is, no line of it is lost without a word."""

import pytest

from regrind.receiving.line_parser import LONGEST, MOST_LINES
from regrind.record.models import Line

pytestmark = pytest.mark.django_db


@pytest.fixture
def box(make_batch):
    return make_batch()


def words(count):
    return "\n".join(f"{n % 9 + 1} x {n % 63 + 1}/64 {n % 6 + 1}fl" for n in range(count))


@pytest.mark.parametrize("count", [41, 400])
def test_every_line_is_read_and_saved(counter, box, count):
    assert counter.keep(box, words(count)).status_code == 302
    stored = list(Line.objects.order_by("number"))
    assert [line.wording for line in stored] == words(count).splitlines()
    assert [line.pieces.count() for line in stored] == [n % 9 + 1 for n in range(count)]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (words(MOST_LINES + 1), f"These are {MOST_LINES + 1} lines."),
        ("2 x 1/4\n1 x 1/2 " + "y" * LONGEST, "Line 2 has"),
        ("½" * (LONGEST // 2), "Line 1 has"),
    ],
)
@pytest.mark.parametrize("do", ["read", "save"])
def test_more_than_can_be_read_is_refused_and_stays_in_the_field(counter, box, text, message, do):
    key = counter.fields_of(counter.read_back(box, "1 x 1/4"))["once"]
    answer = counter.client.post(f"/receiving/{box.number}/lines", {"wording": text, "do": do, "once": key})
    assert answer.status_code == 422
    assert message in answer.context["problem"]
    assert answer.context["wording_form"]["wording"].value() == text
    assert not Line.objects.exists()
