"""A request reads the shop's settings once, and what it changes it reads anew."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from regrind.shop.models import ShopSettings
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.owner.settings import read_once, shop_settings

pytestmark = pytest.mark.django_db


def asked(queries: CaptureQueriesContext) -> int:
    return sum(f'FROM "{ShopSettings._meta.db_table}"' in query["sql"] for query in queries.captured_queries)


@pytest.mark.parametrize("where", ["/", "/shop/settings", "/bench/gauges"])
def test_a_page_asks_for_the_settings_once(where, owner, client):
    client.force_login(owner)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(where).status_code == 200
    assert asked(queries) == 1


def test_settings_that_a_request_changed_are_read_anew(owner):
    save_shop_settings(by=owner, name="Old")
    with read_once():
        assert shop_settings().name == "Old"
        save_shop_settings(by=owner, name="New")
        assert shop_settings().name == "New"


def test_the_next_request_sees_what_another_changed(owner):
    save_shop_settings(by=owner, name="Old")
    with read_once():
        assert shop_settings().name == "Old"
    ShopSettings.objects.update(name="New")
    with read_once():
        assert shop_settings().name == "New"
    ShopSettings.objects.update(name="Newer")
    assert shop_settings().name == "Newer"  # outside of a request each call reads
