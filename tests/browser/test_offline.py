"""Never lost: a dropout in mid-save, an answer that never came, a killed tab, a lapsed session: each time one row."""

import pytest
from playwright.sync_api import expect

from regrind.bench.models import Inspection
from regrind.record.models import Piece
from regrind.shop.models import Gauge, SentForm
from tests.long_form import FULL

from .job_steps import Hand
from .unsaved import offered_drafts

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both]
AWAY_MS = 60_000 if FULL else 4_000
WHERE = "/bench/417-1/inspect"


@pytest.fixture
def hand(tablet, make_batch, bench_hand, gauges) -> Hand:
    make_batch(3, number=417)
    hand = Hand(tablet)
    hand.sign_in("Bea")
    hand.open(WHERE)
    return hand


def measure(page) -> None:
    """What is read of a worn tool, typed as the page asks for it."""
    page.locator("#id_diameter").fill(".2498")
    page.locator("[name=damage][value=nothing]").check()
    page.locator("#id_note").fill("two edges dull")


def save(page) -> None:
    page.get_by_role("button", name="Save inspection").click()


def saved(page) -> None:
    """Another page came, and nothing more is asked of the server: its database in memory lets one look at a time."""
    page.wait_for_url(lambda url: "/bench/417-1/" in url and not url.endswith("/inspect"))
    page.wait_for_load_state("networkidle")


def wait_until(page, is_so) -> None:
    for _ in range(200):
        if is_so():
            return
        page.wait_for_timeout(50)
    pytest.fail("it never came to it")


def rows() -> int:
    return Inspection.every.filter(copied_from=None).count()


def test_the_network_goes_in_mid_save_and_what_was_typed_is_sent_when_it_is_back(hand, axe):
    page = hand.page
    measure(page)
    page.context.set_offline(True)
    expect(page.locator(".offline")).to_contain_text("There is no network")
    save(page)
    expect(page.locator(".offline")).to_contain_text("is stored in this tab")
    page.wait_for_timeout(AWAY_MS)
    expect(page.locator("#id_diameter")).to_have_value(".2498")
    assert rows() == 0
    assert axe(page) == []
    page.context.set_offline(False)
    saved(page)
    assert rows() == 1
    assert Inspection.objects.get(copied_from=None).note == "two edges dull"
    assert offered_drafts() == []


def test_an_answer_that_never_came_is_asked_for_again_and_the_row_is_one(hand):
    page, lost = hand.page, []
    measure(page)

    def lose(route) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch().status)  # the server has saved it, and nobody was told
            route.abort()
        else:
            route.continue_()

    page.route(f"**{WHERE}", lose)
    save(page)
    saved(page)
    assert lost == [204]
    assert rows() == 1
    assert SentForm.objects.count() == 1


def test_a_page_that_was_loaded_anew_while_the_network_was_away_sends_what_waits(hand):
    page = hand.page
    measure(page)
    page.route(f"**{WHERE}", lambda route: route.abort("internetdisconnected"))
    save(page)
    expect(page.locator(".offline")).to_contain_text("is stored in this tab")
    hand.open("/calculators/")
    expect(page.locator(".offline")).to_contain_text("is stored in this tab")
    assert rows() == 0
    page.unroute(f"**{WHERE}")
    expect(page.locator(".offline")).to_contain_text("Saved: Inspect 417-1")
    assert rows() == 1


def test_who_goes_to_another_page_while_it_is_sent_gets_there_and_it_is_saved_once(hand):
    page, sent, asked = hand.page, [], []
    measure(page)
    page.route(f"**{WHERE}", lambda route: sent.append(route) if not sent else route.continue_())
    save(page)
    wait_until(page, lambda: sent)
    page.route("**/calculators/", lambda route: asked.append(route))
    page.evaluate("() => { location.href = '/calculators/' }")
    wait_until(page, lambda: asked)
    sent[0].fulfill(response=sent[0].fetch())  # the answer comes while the other page is under way
    page.wait_for_timeout(300)
    asked[0].continue_()
    expect(page.locator(".offline")).to_contain_text("Saved: Inspect 417-1")
    assert page.url.endswith("/calculators/")
    assert rows() == 1
    assert SentForm.objects.count() == 1


@pytest.fixture
def two_wait(hand):
    """A correction of an inspection, and the undo of what it corrects, saved without a network."""
    page = hand.page

    def leave(pieces: int) -> None:
        measure(page)
        save(page)
        saved(page)
        hand.open("/bench/417-1/inspect")
        measure(page)
        for box in page.locator("[name=pieces][type=checkbox]").all()[:pieces]:
            box.check()
        page.context.set_offline(True)
        save(page)
        expect(page.locator(".offline")).to_contain_text("is stored in this tab")
        page.locator("form.undo button").click()
        expect(page.locator(".offline").get_by_role("button", name="Send all now")).to_be_visible()
        expect(page.locator(".offline").get_by_role("button", name="Discard “Undo”")).to_be_visible()
        page.context.set_offline(False)

    return leave


def test_two_forms_of_a_page_are_both_kept_and_sent_in_the_order_of_the_taps(hand, two_wait):
    two_wait(pieces=3)
    # The correction came first, so that the undo of what it corrects is refused, and says what stands on it.
    expect(hand.page.locator("main")).to_contain_text("A later step depends on this: Inspected")
    assert rows() == 2
    assert set(Piece.objects.values_list("status", flat=True)) == {"inspected"}


def test_a_form_that_needs_mending_stays_in_sight_while_the_next_is_sent(hand, two_wait):
    two_wait(pieces=0)
    expect(hand.page.locator(".offline")).to_contain_text("Saved: Inspect 417-1")
    expect(hand.page.locator("main")).to_contain_text("Tick the pieces that were inspected")
    expect(hand.page.locator("#id_note")).to_have_value("two edges dull")
    assert rows() == 1


def test_a_form_that_is_dropped_is_not_sent(hand):
    page = hand.page
    measure(page)
    page.context.set_offline(True)
    save(page)
    page.locator(".offline").get_by_role("button", name="Discard").click()
    page.context.set_offline(False)
    expect(page.locator(".offline")).to_contain_text("The network is back")
    hand.open("/calculators/")
    assert rows() == 0


def test_the_network_goes_and_comes_while_nothing_is_sent(hand):
    page = hand.page
    page.context.set_offline(True)
    expect(page.locator(".offline")).to_contain_text("what you save is stored in this tab")
    page.context.set_offline(False)
    expect(page.locator(".offline")).to_contain_text("The network is back")
    page.locator(".offline").get_by_role("button", name="Close").click()
    expect(page.locator(".offline")).to_be_hidden()


def test_a_killed_tab_loses_nothing(hand):
    page = hand.page
    with page.expect_response("**/shop/draft"):
        measure(page)
    page.wait_for_timeout(1500)
    context = page.context
    page.close()
    again = context.new_page()
    again.goto(WHERE)
    again.get_by_role("button", name="Restore them").click()
    expect(again.locator("#id_diameter")).to_have_value(".2498")
    save(again)
    saved(again)
    assert rows() == 1
    assert offered_drafts() == []


def test_a_lapsed_session_costs_a_sign_in_and_no_typing(hand):
    page = hand.page
    measure(page)
    page.context.clear_cookies(name="sessionid")
    save(page)
    page.get_by_label("Name").fill("Bea")
    page.get_by_label("Password").fill("a long password")
    page.get_by_role("button", name="Sign in").click()
    expect(page.locator("h1")).to_have_text("Not saved yet")
    expect(page.locator("main")).to_contain_text("two edges dull")
    page.get_by_role("button", name="Save it now").click()
    saved(page)
    assert rows() == 1


def test_a_form_that_needs_mending_comes_back_as_a_page_with_its_errors(hand):
    page = hand.page
    page.locator("#id_diameter").fill("0.2.5")
    save(page)
    expect(page.locator("#id_diameter")).to_be_focused()
    expect(page.locator("main")).to_contain_text("is not a length")
    assert page.evaluate("sessionStorage.getItem('waits')") is None
    assert rows() == 0


def test_a_page_of_before_another_sign_in_in_the_same_browser_is_not_lost(hand):
    page = hand.page
    measure(page)
    other = page.context.new_page()
    other.goto("/shop/sign-in?by=password")
    other.get_by_label("Name").fill("Bea")
    other.get_by_label("Password").fill("a long password")
    other.get_by_role("button", name="Sign in").click()
    other.wait_for_url("**/")
    save(page)
    page.get_by_role("button", name="Save it now").click()
    saved(page)
    assert rows() == 1


def test_what_a_password_was_typed_into_never_waits_in_the_tab(open_device, owner):
    hand = Hand(open_device("tablet"))
    hand.sign_in("Oda")
    hand.open("/shop/people")
    page = hand.page
    page.get_by_label("Name").fill("Nia")
    page.get_by_label("New password").fill("a long password")
    page.get_by_label("Bench").check()
    page.get_by_role("button", name="Add person").click()
    expect(page.get_by_role("link", name="Nia")).to_be_visible()
    assert page.evaluate("sessionStorage.getItem('waits')") is None
    assert Gauge.objects.count() == 0
