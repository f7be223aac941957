"""Turnover by month: bills less credit notes, each currency on its own."""

import pytest
from django.utils import timezone

from regrind.office.bills import making
from regrind.office.bills.lists import months
from regrind.shop.owner.actions import save_shop_settings

from .test_bills import bill_of, sent, shop

__all__ = ["sent", "shop"]  # fixtures
pytestmark = pytest.mark.django_db


def test_a_month_adds_no_currency_to_another(shop, sent, front_desk, owner, client):
    bill_of(sent(2, price=1_000), front_desk)
    made = bill_of(sent(1, price=3_000), front_desk)
    making.credit(by=front_desk, bill=made, amounts={made.lines.get(): 500}, why="one edge chipped")
    save_shop_settings(by=owner, currency="CHF")
    bill_of(sent(1, price=700), front_desk)
    [month] = months()
    assert month.month == timezone.localdate().replace(day=1)
    assert month.turnover == [(700, "CHF"), (4_500, "EUR")]
    client.force_login(owner)
    page = client.get("/office/bills/months").content.decode()
    assert "7.00\u202fCHF" in page
    assert "45.00\u202fEUR" in page
