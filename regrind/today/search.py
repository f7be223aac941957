"""One search box: a number that is printed, a life tag, a customer, an order, their number or a size."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import Max, Q, QuerySet
from django.http import Http404
from django.urls import reverse

from regrind.geometry.units import NeedsUnit, NotALength, Unit, parse
from regrind.office.tool_page.codes import scanned_tool
from regrind.paper.qr import OURS
from regrind.record.find import batch_or_404, line_or_404, piece_or_404, read_numbers
from regrind.record.models import Batch, Contact, Customer, Family, Line, Piece, Tool
from regrind.record.tags import read_tag

MOST = 20
WINDOW = 5_000  # of the newest rows, in which a number of theirs is also found in part: half a year and more
LEAST_DIGITS = 4  # of a telephone number
LAST_CHARACTER = "\U0010ffff"


@dataclass(frozen=True)
class Found:
    """What one search gave, each kind at most MOST rows."""

    customers: list[Customer]
    batches: list[Batch]
    lines: list[Line]
    tools: list[Tool]

    def __bool__(self) -> bool:
        return bool(self.customers or self.batches or self.lines or self.tools)


def exact(text: str) -> str | None:
    """The address that a printed number or a life tag names, or None; with our codes' letter before it, or without."""
    if followed := scanned_tool(text):
        visit = followed.visits.order_by("-batch__number").first()
        return reverse("bench:piece", args=[str(visit)]) if visit else None
    text = text.strip().removeprefix(OURS).removeprefix(OURS.lower())
    numbers = read_numbers(text.removeprefix("#"))
    if 1 <= len(numbers) <= 3:
        return _numbered(numbers)
    tag = read_tag(text)
    piece = Piece.objects.filter(tool__tag=tag).order_by("-batch__number").first() if tag else None
    return reverse("bench:piece", args=[str(piece)]) if piece else None


def _numbered(numbers: list[int]) -> str | None:
    """The page of a printed number, or of what had it before its line was moved to another batch."""
    text = "-".join(map(str, numbers))
    try:
        if len(numbers) == 3:
            return reverse("bench:piece", args=[str(piece_or_404(text))])
        if len(numbers) == 2:
            return reverse("bench:line", args=[str(line_or_404(text))])
        return reverse("receiving:batch", args=[str(batch_or_404(text))])
    except Http404:
        return None


def find(text: str, unit: Unit) -> Found:
    """Everything that `text` may mean; `unit` is what a bare decimal or fraction is in.

    Names and telephone numbers in part. Numbers of theirs as they begin, and in part among the newest of each: so that
    a search reads as much in the twentieth year as in the second. Only a text with a digit in it, where all that finds
    nothing, is looked for in every number.
    """
    customers = _customers(text)
    results = Found(customers, _batches(text, customers), _lines(text, unit), _tools(text))
    return results if results or not digits_of(text) else _find_anywhere(text)


def _find_anywhere(text: str) -> Found:
    """What has `text` in a number of theirs, whenever it came: this reads every number."""
    return Found(
        [],
        _shown_batches(_newest(Batch, Q(order_number__icontains=text))),
        _shown_lines(_newest(Line, Q(customer_tool_number__icontains=text))),
        _shown_tools(_newest(Tool, Q(customer_number__icontains=text))),
    )


def _customers(text: str) -> list[Customer]:
    people, digits = Contact.current().order_by(), digits_of(text)
    which = Q(name__icontains=text) | Q(pk__in=people.filter(name__icontains=text).values("customer"))
    if len(digits) >= LEAST_DIGITS and not re.search(r"[^\W\d_]", text):
        phones = people.exclude(phone="").values_list("customer", "phone")
        which |= Q(pk__in=[pk for pk, phone in phones if digits in digits_of(phone)][:MOST])
    return list(Customer.objects.filter(which)[:MOST])


def digits_of(text: str) -> str:
    """The digits of a telephone number, however it is grouped."""
    return "".join(filter(str.isdecimal, text))


def _batches(text: str, customers: list[Customer]) -> list[Batch]:
    keys = _called(Batch, "order_number", text)
    if customers:
        theirs = Batch.objects.filter(customer__in=customers).order_by("-number").values_list("pk", flat=True)
        keys |= set(theirs[:MOST])
    return _shown_batches(keys)


def _shown_batches(keys: Iterable[int]) -> list[Batch]:
    return list(Batch.objects.filter(pk__in=set(keys)).select_related("customer").order_by("-number")[:MOST])


def _tools(text: str) -> list[Tool]:
    keys = _called(Tool, "customer_number", text)
    keys |= set(_newest(Tool, begins("tag", text.upper())))
    return _shown_tools(keys)


def _shown_tools(keys: Iterable[int]) -> list[Tool]:
    return list(Tool.objects.filter(pk__in=set(keys)).select_related("customer", "family").order_by("-pk")[:MOST])


def _lines(text: str, unit: Unit) -> list[Line]:
    """Lines of that tool number or size, the newest first.

    Their keys come from the indexes of number and family alone, apart: one question for both would read every line.
    """
    keys, size = _called(Line, "customer_tool_number", text), _size(text, unit)
    if size is not None:
        families = list(Family.objects.filter(nominal_nm=size).values_list("pk", flat=True))
        keys |= set(_newest(Line, Q(family__in=families)))
    return _shown_lines(keys)


def _shown_lines(keys: Iterable[int]) -> list[Line]:
    return list(
        Line.objects.filter(pk__in=sorted(keys, reverse=True)[:MOST])
        .select_related("batch__customer", "family")
        .order_by("-batch__number", "number")
    )


def _called(model: type[Batch | Line | Tool], field: str, text: str) -> set[int]:
    """The newest rows whose number of theirs has `text` in it among the last WINDOW, else begins with it anywhere:
    as it was typed, in capitals or in small letters."""
    last = model._default_manager.aggregate(last=Max("pk"))["last"] or 0
    keys = set(_newest(model, Q(pk__gt=last - WINDOW, **{f"{field}__icontains": text})))
    if len(keys) < MOST:
        for spelled in dict.fromkeys((text, text.upper(), text.lower())):
            keys |= set(_newest(model, begins(field, spelled)))
    return keys


def begins(field: str, text: str) -> Q:
    """That an indexed text begins with `text`, by its index: PostgreSQL has one for LIKE beside the plain one, whose
    order its language decides; SQLite's order is that of the characters, and its LIKE takes no index of ours."""
    if connection.vendor == "postgresql":
        return Q(**{f"{field}__startswith": text})
    return Q(**{f"{field}__gte": text, f"{field}__lt": f"{text}{LAST_CHARACTER}"})


def _newest(model: type[Batch | Line | Tool], which: Q) -> QuerySet[Any, int]:
    return model._default_manager.filter(which).order_by("-pk").values_list("pk", flat=True)[:MOST]


def _size(text: str, unit: Unit) -> int | None:
    try:
        return parse(_with_unit(text, unit), unit=unit).nm
    except NotALength:
        return None


def _with_unit(text: str, unit: Unit) -> str:
    """A bare whole number is searched for in the shop's unit: a search stores nothing, so a guess does no harm."""
    try:
        parse(text, unit=unit)
    except NeedsUnit as ask:
        return ask.choices[0]
    except NotALength:
        pass
    return text
