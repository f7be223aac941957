"""Codes on the labels of followed tools, each of a page that its holder may open."""

from django.db import models

from regrind.record.models import Tool
from regrind.shop.history.triggers import guard
from regrind.shop.models import EventRow


class ToolCode(EventRow):
    """A code of a tool; of several the newest holds, so that a new one revokes the others. salt: 128 random bits that
    the code is worked out from with the shop's signing key. digest: SHA-256 of the code, which no row holds."""

    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, related_name="+")
    salt = models.CharField(max_length=32)
    digest = models.CharField(max_length=64, unique=True)


guard("office.ToolCode", may_change=False)
