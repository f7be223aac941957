"""What the counter's pages show, each in a fixed number of queries."""
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db.models import Count, Max, Prefetch, Q, QuerySet

from regrind.record.models import Batch, Customer, Family, Line, Piece
from regrind.shop.forms import ShopForm

from .forms import as_text

PAGE = 50


class StrayForm(ShopForm):
    what = forms.CharField(label="In the box and not theirs", max_length=200)


class MergeFamiliesForm(ShopForm):
    family = forms.ModelChoiceField(Family.objects.filter(merged_into=None), label="This family")
    into = forms.ModelChoiceField(Family.objects.filter(merged_into=None), label="Is really this one")


def batches(before: str, customer: str) -> dict[str, Any]:
    """Open batches, all of them, and closed ones newest first by keyset."""
    every = Batch.objects.select_related("customer").annotate(
        n=Count("pieces"), there=Count("pieces", filter=~Q(pieces__whereabouts__in=("left", "recycled", "missing"))))
    if customer.isascii() and customer.isdigit() and len(customer) < 12:
        every = every.filter(customer=int(customer))
    closed = every.filter(closed=True).order_by("-number")
    if before.isascii() and before.isdigit() and len(before) < 9:
        closed = closed.filter(number__lt=int(before))
    shown = list(closed[:PAGE + 1])
    return {"open": [] if before else every.filter(closed=False).order_by("-rush", "due", "number"),
            "closed": shown[:PAGE], "more": shown[PAGE - 1].number if len(shown) > PAGE else None,
            "customer": customer}


def lines(batch: Batch) -> QuerySet[Line]:
    """Lines with their family and pieces: three queries however many."""
    return batch.lines.select_related("family", "batch").order_by("number").prefetch_related(
        Prefetch("pieces", Piece.objects.select_related("batch", "tool")))


def customers() -> QuerySet[Customer]:
    return Customer.objects.annotate(boxes=Count("batches"), last=Max("batches__received_at")).order_by("name")


@dataclass
class FamilyRow:
    family: Family
    pieces: int


def families() -> list[FamilyRow]:
    found = Family.objects.filter(merged_into=None).annotate(n=Count("lines__pieces"))
    return [FamilyRow(family, family.n) for family in found]


def family_initial(line: Line, unit: str) -> dict:
    """The line's present family as the first values of a LineForm."""
    family = line.family
    plain = {name: getattr(family, name) for name in ("kind", "teeth", "material", "coating", "maker", "catalogue",
                                                      "hand_of_cut", "unequal_index")}
    lengths = {name: as_text(getattr(family, f"{name}_nm"), unit)
               for name in ("nominal", "corner_radius", "shank", "flute_length", "overall")}
    angles = {name: "" if cdeg is None else f"{cdeg / 100:g}" for name, cdeg in
              (("helix", family.helix_cdeg), ("point_angle", family.point_angle_cdeg))}
    return plain | lengths | angles | {"count": line.pieces.count(), "matched": False}
