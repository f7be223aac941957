"""Customers and families: the only writers of both."""
from typing import Any

from regrind.shop.acting import Refusal, acting
from regrind.shop.models import Person

from .models import Customer, Family, Line, LineChange, Tool

GIVEN = ("nominal_nm", "teeth", "material", "coating", "helix_cdeg", "corner_radius_nm", "maker", "catalogue",
         "shank_nm", "flute_length_nm", "overall_nm", "point_angle_cdeg")


def keep_customer(*, by: Person, customer: Customer | None = None, **values: Any) -> Customer:
    """Make a customer, or change one. Refusal where the name is taken."""
    others = Customer.objects.exclude(pk=customer.pk) if customer else Customer.objects.all()
    if others.filter(name__iexact=values["name"]).exists():
        raise Refusal(f"There is a customer {values['name']} already.")
    with acting(by, "customer"):
        if customer is None:
            return Customer.objects.create(**values)
        Customer.objects.filter(pk=customer.pk).update(**values)
        return customer


def fitting_families(**given: Any) -> list[Family]:
    """Families that nothing given contradicts: same kind and hand, and each property equal or unknown on one side.

    The best known fit comes first. A property that nobody gave never makes a second family.
    """
    wanted = {name: given[name] for name in GIVEN if given.get(name) not in (None, "")}
    same = Family.objects.filter(kind=given["kind"], merged_into=None, hand_of_cut=given.get("hand_of_cut", "right"),
                                 unequal_index=bool(given.get("unequal_index")))
    if "nominal_nm" in wanted:
        same = same.filter(nominal_nm=wanted["nominal_nm"])
    fits = [f for f in same if all(getattr(f, name) in (None, "", value) for name, value in wanted.items())]
    return sorted(fits, key=lambda f: (-sum(getattr(f, name) == value for name, value in wanted.items()),
                                       sum(getattr(f, name) not in (None, "") for name in GIVEN), f.pk))


def find_or_make_family(*, by: Person, kind: str, **given: Any) -> Family:
    """The family that fits best, else a new one. What the found one does not know is filled in from what was given."""
    fits = fitting_families(kind=kind, **given)
    wanted = {name: value for name, value in given.items() if value not in (None, "")}
    with acting(by, "family"):
        if not fits:
            return Family.objects.create(kind=kind, **wanted)
        news = {name: value for name, value in wanted.items() if getattr(fits[0], name) in (None, "")}
        if news:
            Family.objects.filter(pk=fits[0].pk).update(**news)
            fits[0].refresh_from_db()
        return fits[0]


def change_family_facts(*, by: Person, family: Family, **values: Any) -> None:
    """Write what is known of a family's geometry when new."""
    with acting(by, "family facts"):
        Family.objects.filter(pk=family.pk).update(**values)


def merge_families(*, by: Person, family: Family, into: Family) -> None:
    """Say that two families are one: lines and tools move over, figures follow. Refusal where their kinds differ."""
    if family.pk == into.pk or into.merged_into_id:
        raise Refusal("Choose another family, one that was not merged itself.")
    if family.kind != into.kind:
        raise Refusal("Families of different kinds stay apart: change the kind of the lines first.")
    with acting(by, f"merged into {into}"):
        said = f"{family} merged into {into}"[:300]
        LineChange.objects.bulk_create([LineChange(line=line, what="kind", said=said, by=by)
                                        for line in Line.objects.filter(family=family)])
        Line.objects.filter(family=family).update(family=into)
        Tool.objects.filter(family=family).update(family=into)
        Family.objects.filter(pk=family.pk).update(merged_into=into)
