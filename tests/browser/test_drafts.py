"""Typed and not saved: a tab that is killed loses nothing, and the save drops the draft."""

from urllib.parse import parse_qs

import pytest
from playwright.sync_api import expect

from regrind.shop.models import Person

from .unsaved import offered_drafts, open_until_offered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both]


@pytest.fixture
def owner_page(open_device):
    Person.objects.create_user("Oda", "a long password", owner=True)
    page = open_device("tablet")
    sign_in(page)
    return page


def sign_in(page, name="Oda"):
    page.goto("/shop/sign-in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill("a long password")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")


def sent(response) -> dict[str, list[str]]:
    """What the page had sent for this answer, field by field."""
    return parse_qs(response.request.post_data or "")


def test_a_killed_tab_loses_nothing_and_the_save_drops_the_draft(owner_page):
    page = owner_page
    page.goto("/shop/people")
    with page.expect_response(lambda response: "bench" in sent(response).get("content", [""])[0]) as answered:
        page.get_by_label("Name").fill("Nia")
        page.get_by_label("Bench").check()
    # Under the name that forms have for it, a draft sent after the session had lapsed would be held for a form.
    assert {"form", "content", "sequence", "key"} <= set(sent(answered.value))
    assert "once" not in sent(answered.value)
    context = page.context
    page.close()
    again = context.new_page()
    again.goto("/shop/people")
    again.get_by_role("button", name="Restore them").click()
    expect(again.get_by_label("Name")).to_have_value("Nia")
    expect(again.get_by_label("Bench")).to_be_checked()
    again.get_by_label("New password").fill("a long password")
    again.get_by_role("button", name="Add person").click()
    expect(again.get_by_role("link", name="Nia")).to_be_visible()
    again.goto("/shop/people")
    expect(again.get_by_label("Name")).to_be_visible()
    again.wait_for_load_state("networkidle")
    assert not again.get_by_role("button", name="Restore them").count()
    assert Person.objects.filter(name="Nia").count() == 1


def test_what_was_typed_while_the_answer_was_on_its_way_is_not_offered(owner_page):
    """The page asks for a draft when it comes; a finger may be faster than the answer, and a script may add to it."""
    page, held = owner_page, []
    page.route("**/shop/draft?*", lambda route: held.append(route))
    page.goto("/shop/people")
    page.get_by_label("Name").fill("Nia")
    page.evaluate("document.querySelector('[name=name]').value = 'Nia V'")
    with page.expect_response("**/shop/draft?*"):
        held[0].continue_()
    page.evaluate("new Promise((done) => setTimeout(done, 50))")
    assert not page.get_by_role("button", name="Restore them").count()


def test_what_was_typed_of_one_piece_is_offered_on_that_piece_alone(open_device, bench_hand, make_batch):
    line = make_batch(3, number=417).lines.get()
    first, second, _ = line.pieces.order_by("number").values_list("pk", flat=True)
    page = open_device("tablet")
    sign_in(page, "Bea")
    with page.expect_response("**/shop/draft?*"):
        page.goto(f"/bench/417-1/inspect?piece={first}")
    with page.expect_response("**/shop/draft"):  # by the move to the next field, or by the clock if that was faster
        page.get_by_label("Diameter (in)", exact=True).fill(".2498")
        page.get_by_label("Depth per side").focus()
    with page.expect_response("**/shop/draft?*"):
        page.locator(f"nav.strip a[href$='={second}']").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Inspect piece 417-1-2")
    page.wait_for_load_state("networkidle")
    assert not page.get_by_role("button", name="Restore them").count()
    page.get_by_label("Diameter (in)", exact=True).fill(".2491")
    page.get_by_label("no damage").check()
    page.get_by_role("button", name="Save inspection").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Inspect piece 417-1-3")
    page.locator(f"nav.strip a[href$='={first}']").click()
    page.get_by_role("button", name="Restore them").click()
    expect(page.get_by_label("Diameter (in)", exact=True)).to_have_value(".2498")
    page.get_by_label("no damage").check()
    page.get_by_role("button", name="Save inspection").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Inspect piece 417-1-3")
    assert offered_drafts() == []


def test_what_stands_on_the_page_is_not_offered_as_unsaved(open_device, bench_hand, make_batch):
    make_batch(3, number=417)
    page = open_device("tablet")
    sign_in(page, "Bea")
    page.goto("/receiving/417/lines")
    page.get_by_label("What is in the box").fill("4 x 1/4 3fl carbide")
    page.get_by_role("button", name="Read the lines").click()  # at once: the draft is under way together with it
    expect(page.get_by_role("button", name="Save 1 line")).to_be_visible()
    page.wait_for_load_state("networkidle")
    assert not page.get_by_role("button", name="Restore them").count()
    open_until_offered(page, "/receiving/417/lines")
    page.get_by_role("button", name="Restore them").click()
    expect(page.get_by_label("What is in the box")).to_have_value("4 x 1/4 3fl carbide")
