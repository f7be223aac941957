"""Whom to write to at a customer, and where to send boxes and bills."""

from typing import Any

from django.db import models
from django.db.models import Exists, OuterRef

from regrind.shop.models import EventRow

from .customers import Customer


class _Entry(EventRow):
    """One state of a numbered entry of a customer: the newest row of a number counts, and undoing it brings the one
    before back. removed: the entry is no longer there."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveSmallIntegerField()
    removed = models.BooleanField(default=False)

    class Meta(EventRow.Meta):
        abstract = True
        indexes = [models.Index(fields=["customer", "number"])]

    @classmethod
    def current(cls) -> "models.QuerySet[Any]":
        """The entries as they are now, in the order of their numbers."""
        newer = cls.objects.filter(customer=OuterRef("customer"), number=OuterRef("number"), pk__gt=OuterRef("pk"))
        return cls.objects.filter(~Exists(newer), removed=False).order_by("customer", "number")


class Contact(_Entry):
    """A person at a customer. for_…: which mails go to this person."""

    name = models.CharField(max_length=120, blank=True)
    role = models.CharField(max_length=60, blank=True)
    mail = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    for_quotes = models.BooleanField("quotes and reminders", default=False)
    for_ready = models.BooleanField("received, ready and returned", default=False)
    for_bills = models.BooleanField("named on bills", default=False)

    def __str__(self) -> str:
        return self.name or self.mail or self.phone

    @property
    def mail_words(self) -> str:
        """`quotes and reminders, bills`: which mails this person gets."""
        return _ticked(self, "for_quotes", "for_ready", "for_bills")


class Address(_Entry):
    """A postal address of a customer, whose name stands above it. name_lines: gate, department, in whose care; a line
    each. country: two letters of ISO 3166-1, empty for the shop's own. first: the one to take where several fit."""

    name_lines = models.TextField(max_length=200, blank=True)
    street = models.TextField(max_length=200, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    town = models.CharField(max_length=80, blank=True)
    country = models.CharField("country code", max_length=2, blank=True)
    for_delivery = models.BooleanField("delivery", default=True)
    for_bills = models.BooleanField("bills", default=True)
    first = models.BooleanField("first choice", default=False)

    @property
    def use_words(self) -> str:
        """`first choice, delivery, bills`"""
        return _ticked(self, "first", "for_delivery", "for_bills")


def _ticked(row: _Entry, *names: str) -> str:
    words = {field.name: str(field.verbose_name) for field in row._meta.concrete_fields}
    return ", ".join(words[name] for name in names if getattr(row, name))
