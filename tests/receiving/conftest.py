"""What the counter's tests may ask for: a signed-in front desk, and forms as a browser would send them."""

import re

import pytest
from django.test import Client

HIDDEN = re.compile(r'<input type="hidden" name="([^"]+)" value="([^"]*)"')


class Counter:
    """A browser without JavaScript at the counter."""

    def __init__(self, client: Client) -> None:
        self.client = client

    def get(self, where: str, **query):
        return self.client.get(where, query)

    def post(self, where: str, page: str | None = None, **fields):
        """Send a form with the once-only key of the page it stands on (`page`, else the same address)."""
        shown = self.client.get(page or where).content.decode()
        key = re.search(r'name="once" value="([^"]+)"', shown)
        return self.client.post(where, {"once": key[1] if key else "", **fields})

    def read_back(self, batch, said: str):
        return self.client.post(f"/receiving/{batch.number}/lines", {"wording": said, "do": "read"})

    def keep(self, batch, said: str, **changed):
        """Read back, then keep, with the fields that were mended on the page by hand."""
        page = self.read_back(batch, said)
        fields = self.fields_of(page) | {"wording": said, "do": "save"} | changed
        fields = {name: value for name, value in fields.items() if value is not None}
        return self.client.post(f"/receiving/{batch.number}/lines", fields)

    @staticmethod
    def fields_of(page) -> dict[str, str]:
        """Every value on the page, as a browser would send it."""
        fields = {}
        for line in page.context["read"]:
            for bound in line.form:
                if bound.value() not in (None, "", False):
                    fields[bound.html_name] = "on" if bound.value() is True else str(bound.value())
            prefix = line.form.prefix
            fields |= {f"{prefix}-offered": line.form.offered_now(), f"{prefix}-family_choice": line.form.chosen}
        hidden = dict(HIDDEN.findall(page.content.decode()))
        return fields | {"lines": str(len(page.context["read"])), "once": hidden["once"]}


@pytest.fixture
def counter(client, front_desk) -> Counter:
    client.force_login(front_desk)
    return Counter(client)
