"""One search box: a number that is printed, a life tag, a customer, an order, their number or a size."""
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.urls import reverse

from regrind.geometry.units import NeedsUnit, NotALength, Unit, parse
from regrind.record.models import Batch, Customer, Family, Line, Piece, Tool
from regrind.record.tags import read_tag

MOST = 20


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
    """The address that a printed number or a life tag names, or None."""
    parts = text.strip().removeprefix("#").split("-")
    if all(p.isascii() and p.isdigit() and len(p) < 8 for p in parts) and len(parts) <= 3:
        return _numbered([int(p) for p in parts])
    tag = read_tag(text)
    piece = Piece.objects.filter(tool__tag=tag).order_by("-batch__number").first() if tag else None
    return reverse("bench:piece", args=[str(piece)]) if piece else None


def _numbered(numbers: list[int]) -> str | None:
    if len(numbers) == 3:
        batch, line, piece = numbers
        if Piece.objects.filter(batch__number=batch, born_line=line, number=piece).exists():
            return reverse("bench:piece", args=[f"{batch}-{line}-{piece}"])
    elif len(numbers) == 2:
        if Line.objects.filter(batch__number=numbers[0], number=numbers[1]).exists():
            return reverse("bench:line", args=[f"{numbers[0]}-{numbers[1]}"])
    elif Batch.objects.filter(number=numbers[0]).exists():
        return reverse("receiving:batch", args=[numbers[0]])
    return None


def find(text: str, unit: Unit) -> Found:
    """Everything that `text` may mean; `unit` is what a bare decimal or fraction is in."""
    customers = list(Customer.objects.filter(Q(name__icontains=text) | Q(contact__icontains=text))[:MOST])
    batches = (Batch.objects.filter(Q(order_number__icontains=text) | Q(customer__in=customers))
               .select_related("customer").order_by("-number"))
    tools = Tool.objects.filter(Q(customer_number__icontains=text) | Q(tag__istartswith=text)).select_related(
        "customer", "family").order_by("-pk")
    return Found(customers, list(batches[:MOST]), _lines(text, unit), list(tools[:MOST]))


def _lines(text: str, unit: Unit) -> list[Line]:
    """Lines of that tool number or size, the newest first.

    Their keys come from the indexes of number and family alone, apart: one question for both would read every line.
    """
    keys = set(_newest(Q(customer_tool_number__icontains=text)))
    size = _size(text, unit)
    if size is not None:
        keys |= set(_newest(Q(family__in=list(Family.objects.filter(nominal_nm=size).values_list("pk", flat=True)))))
    return list(Line.objects.filter(pk__in=sorted(keys, reverse=True)[:MOST])
                .select_related("batch__customer", "family").order_by("-batch__number", "number"))


def _newest(which: Q) -> QuerySet[Line, int]:
    return Line.objects.filter(which).order_by("-pk").values_list("pk", flat=True)[:MOST]


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
