"""Taps over the bench: the thread read as a thread, the chamfer by hand, always asked about."""

from datetime import date

import pytest

from regrind.bench.models import Plan
from regrind.geometry.units import NARROW_SPACE
from regrind.office.papers.common import gather
from regrind.office.papers.job_lines import job_line
from regrind.office.papers.setup_card import setup_sheet
from regrind.record.models import Customer, Family

from .plan_pages import where

pytestmark = pytest.mark.django_db
MM = 1_000_000
READ = {
    "diameter_source": "measured",
    "damage": "depth",
    "front_wear": "0.8 mm",
    "chamfer_length": "5 mm",
    "thread_length": "22 mm",
}


@pytest.fixture
def taps(at_bench, make_batch):
    """taps(thread="M8 x 1.25", front_wear="0.8 mm") -> a line of two taps, inspected once for both."""

    def make(thread="M8 x 1.25", flutes="", **typed):
        tap = Family.objects.create(kind="tap", nominal_nm=8 * MM, material="HSS", thread=thread, tap_flutes=flutes)
        line = make_batch(2, of=tap).lines.get()
        Customer.objects.update(unit="mm")
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | typed)
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        return line, ids

    return make


def test_a_tap_is_planned_without_a_diameter_and_asked_about(at_bench, taps):
    """Full thread L − l − c; 5 mm of chamfer at 1.25 are 4 threads, form D (DIN 2197, makers' pages)."""
    line, _ids = taps()
    page = at_bench.get(f"/bench/{line}/plan")
    option, figures = page.context["option"], dict(page.context["kind_figures"])
    cut = 0.8 + float(page.context["group"].case["allow"]["finish"].removesuffix(" mm"))
    assert (option["grind"], option["verdict"]) == (["end", "chamfer"], "ask")
    assert option["reasons"] == ["by_hand"]
    assert option["full_thread_mm"] == pytest.approx(22 - 5 - cut)
    assert figures["Threads in the chamfer, kept"] == "4.0, form D"
    assert "M8 x 1.25" in page.content.decode()


@pytest.mark.parametrize(("thread", "pitch"), [("1/4-20", 1.27), ("#10-32", 0.79375), ("M8", 1.25)])
def test_a_thread_is_read_as_a_thread(at_bench, taps, thread, pitch):
    """25.4 mm over the threads an inch; M8 coarse is 1.25 (ISO 261)."""
    line, _ids = taps(thread)
    assert at_bench.get(f"/bench/{line}/plan").context["option"]["pitch_mm"] == pytest.approx(pitch)


def test_what_is_lacking_is_named(at_bench, taps):
    line, _ids = taps("", chamfer_length="")
    html = at_bench.get(f"/bench/{line}/plan").content.decode()
    assert "It lacks the thread: M8 x 1.25 or 1/4-20, the length of the chamfer" in html


def test_card_steps_and_check(at_bench, taps):
    line, ids = taps()
    page = at_bench.get(f"/bench/{line}/plan")
    key = page.context["group"].key
    answer = at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=key, why="agreed")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    assert (Plan.objects.get(copied_from=None).grinds, set(where(ids))) == ("end chamfer", {"ready_to_grind"})
    card = at_bench.get(f"/bench/{line}/setup-card").content.decode()
    for words in ("Threads in the chamfer", "4.0, form D", "By hand: every land relieved alike"):
        assert words in card, words
    assert "Full thread left" in at_bench.get(f"/bench/{line}-1/explain").content.decode()
    answer = at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["end", "chamfer"], minutes="20")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    typed = {"pieces": ids, "passed": "yes", "overall": "80 mm"}
    assert at_bench.post(f"/bench/{line}/check", **typed).context["form"].errors.keys() == {"chamfer_length"}
    assert at_bench.post(f"/bench/{line}/check", **typed, chamfer_length="5 mm").status_code == 302
    assert set(where(ids)) == {"released"}


@pytest.mark.parametrize(
    ("flutes", "forms", "step"),
    [
        ("spiral point", "4.0, form B or D", "Gash the spiral point again"),
        ("straight flutes", "4.0, form D", "The flutes are left alone."),
        ("spiral flutes", "4.0, form D", "relieve the chamfer along their lead"),
        ("", "4.0, form D", "How the flutes run is not stated"),
    ],
)
def test_how_the_flutes_run_decides_form_and_work_and_is_asked_for_where_nobody_stated_it(
    at_bench, taps, flutes, forms, step
):
    """Form B, 3.5 to 5 threads, has a spiral point; form D, as long, straight flutes (DIN 2197, makers' pages)."""
    line, ids = taps(flutes=flutes)
    page = at_bench.get(f"/bench/{line}/plan")
    assert dict(page.context["kind_figures"])["Threads in the chamfer, kept"] == forms
    assert ("state it on the line" in page.content.decode()) == (not flutes)
    assert (flutes in page.content.decode()) or not flutes
    key = page.context["group"].key
    answer = at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=key, why="agreed")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    assert step in at_bench.get(f"/bench/{line}/setup-card").content.decode()


def test_card_and_check_of_a_tap_say_its_chamfer_and_hold_no_diameter(at_bench, taps):
    """Its thread is not ground: no diameter is held to anything, and the chamfer is planned as long as it was."""
    line, ids = taps()
    key = at_bench.get(f"/bench/{line}/plan").context["group"].key
    at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=key, why="agreed")
    card = setup_sheet(line, 1, date(2026, 3, 2)).cards[0]
    limits = {figure.label: figure.text for figure in card.limits}
    assert limits["Thread"] == "M8 x 1.25, not ground"
    assert not any("iameter" in label for label in limits)
    assert not any("reamer" in caution for caution in card.cautions)
    at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["end", "chamfer"], minutes="20")
    told = {figure.label: figure.text for figure in at_bench.get(f"/bench/{line}/check").context["planned"]}
    assert told["Planned chamfer"].replace(NARROW_SPACE, " ") == "5.000 mm along the axis; threads in it: 4.0, form D"


def test_a_diameter_as_marked_was_measured_on_no_piece(at_bench, taps):
    line, ids = taps(diameter="8 mm", diameter_source="marked")
    pieces = list(line.pieces.order_by("number"))
    [row] = job_line(line, pieces, gather(pieces)).pieces
    assert row.diameter_now.assumed
    assert "measured on" not in row.note
    key = at_bench.get(f"/bench/{line}/plan").context["group"].key
    at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=key, why="agreed")
    at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["end", "chamfer"], minutes="20")
    typed = {"passed": "yes", "overall": "80 mm", "chamfer_length": "5 mm"}
    assert at_bench.post(f"/bench/{line}/check", pieces=ids, **typed).status_code == 302
    assert "no limit holds what was read" in at_bench.get(f"/bench/{line}/checked").content.decode()
