"""What a new shop sets up: asked for on Today until it is done or hidden, and nothing printed without a name."""

import re

import pytest

from regrind.office.issuing import issue
from regrind.record.models import Rate
from regrind.shop.events import Refusal
from regrind.shop.models import Gauge, ShopSettings
from regrind.shop.owner.actions import save_shop_settings
from regrind.today.first_steps import first_steps

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("unnamed")]
PAGE = "/first-steps"


def done() -> set[str]:
    return {step.name for step in first_steps() if step.done}


@pytest.mark.usefixtures("front_desk", "wheel", "holding")
def test_each_step_is_done_by_what_it_asks_for(owner, make_batch, settings, tmp_path):
    settings.BACKUPS = tmp_path
    assert done() == {"People and PINs", "Wheels and work holding"}
    save_shop_settings(by=owner, name="Millrace Regrinding")
    assert "Name and address" not in done()
    save_shop_settings(by=owner, address="4 Lock Road")
    Gauge.objects.create(name="M1", what="micrometer", resolution_nm=1_000)
    make_batch(1)
    assert {step.name for step in first_steps() if not step.done} == {"Prices", "Backups"}
    assert not Rate.objects.exists()


def test_every_link_of_the_steps_opens(client, owner):
    client.force_login(owner)
    for step in first_steps():
        for link in step.links:
            assert client.get(link.address).status_code == 200, link


def test_today_shows_them_to_the_owner_alone_until_they_are_hidden(client, owner, bench_hand):
    client.force_login(bench_hand)
    assert "First steps" not in client.get("/").content.decode()
    client.force_login(owner)
    assert "1 of 9 done" in client.get("/").content.decode()  # two people
    key = re.search('name="once" value="([^"]+)"', client.get(PAGE).content.decode())[1]
    assert client.post(PAGE, {"once": key}).status_code == 302
    assert "First steps" not in client.get("/").content.decode()
    assert "no longer shows" in client.get(PAGE).content.decode()


def test_no_paper_goes_out_under_no_name(make_batch, front_desk, owner):
    make_batch(1, number=417)
    with pytest.raises(Refusal, match="the shop's name"):
        issue(by=front_desk, kind="tag", number="417-1")
    save_shop_settings(by=owner, name="Millrace Regrinding")
    assert issue(by=front_desk, kind="tag", number="417-1").revision == 1


@pytest.mark.parametrize("stock", ["50x25", "62x29", "A4", "letter"])
def test_a_test_label_is_drawn_on_every_stock_and_no_other(client, front_desk, stock):
    client.force_login(front_desk)
    answer = client.get("/office/test-label", {"stock": stock})
    assert answer.content.startswith(b"%PDF")
    assert client.get("/office/test-label", {"stock": stock + "x"}).status_code == 404


def test_the_first_box_gets_the_number_that_the_books_go_on_with(client, owner, customer):
    from regrind.receiving.actions import open_batch

    ShopSettings.objects.create(first_number=4711)
    assert [open_batch(by=owner, customer=customer).number for _ in range(2)] == [4711, 4712]
