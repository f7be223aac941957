"""Customers and families: the only writers of both."""

import json
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from typing import Any

from django.db.models import Q

from regrind.shop.events import Conflict, Refusal, event, one_event
from regrind.shop.models import Event, Person

from .contacts import keep_address, keep_contact
from .line_dimensions import PROPERTIES, UNKNOWN, known
from .models import Customer, Family, FamilyMerge, Line, LineChange, Tool
from .rollups import cells_of, touch

DECIDING = ("material", "coating", "helix_cdeg", "unequal_index")
HANDS = ("hand_of_cut", "hand_of_helix")


def keep_customer(
    *,
    by: Person,
    customer: Customer | None = None,
    contact: Mapping[str, Any] | None = None,
    address: Mapping[str, Any] | None = None,
    **values: Any,
) -> Customer:
    """Make a customer, or change one; returns it as it stands now.

    values: by the names of Customer's columns, lengths in nm, money in minor units. contact, address: the first of
    each, where there is one. Refusal where the name is taken.
    """
    others = Customer.objects.exclude(pk=customer.pk) if customer else Customer.objects.all()
    if "name" in values and others.filter(name__iexact=values["name"]).exists():
        raise Refusal(f"There is a customer {values['name']} already.")
    with event(by, "customer"):
        if customer is None:
            customer = Customer.objects.create(**values)
        else:
            Customer.objects.filter(pk=customer.pk).update(**values)
            customer.refresh_from_db()
        if contact:
            keep_contact(by=by, customer=customer, **contact)
        if address:
            keep_address(by=by, customer=customer, **address)
        return customer


def _hands(properties: Mapping[str, Any]) -> dict[str, str]:
    return {name: properties.get(name) or "right" for name in HANDS}


def fits(family: Family, properties: Mapping[str, Any]) -> bool:
    """Whether nothing given contradicts the family: same kind, size and hands, all else equal or unknown on a side."""
    if family.kind != properties["kind"] or family.nominal_nm != properties.get("nominal_nm"):
        return False
    if any(getattr(family, name) != hand for name, hand in _hands(properties).items()):
        return False
    return all(getattr(family, name) in (*UNKNOWN, value) for name, value in known(properties).items())


def news(family: Family, properties: Mapping[str, Any]) -> dict[str, Any]:
    """What was given and the family does not know yet."""
    return {name: value for name, value in known(properties).items() if getattr(family, name) in UNKNOWN}


def adds(family: Family, properties: Mapping[str, Any]) -> dict[str, Any]:
    """What the family knows and nobody gave, of what decides how a tool is ground: material, coating, helix, index."""
    texts = known(properties)
    return {name: value for name in DECIDING if name not in texts and (value := getattr(family, name)) not in UNKNOWN}


def fitting_families(many: Sequence[Mapping[str, Any]]) -> list[list[Family]]:
    """For each set of properties the families that fit it, the best known fit first; one query for all.

    Each mapping holds `kind` and any of PROPERTIES, HANDS and unequal_index. A property that nobody gave never makes a
    second family; a merged family is never offered.
    """
    wanted = [
        Q(kind=properties["kind"], nominal_nm=properties.get("nominal_nm"))
        if properties.get("nominal_nm") is not None
        else Q(kind=properties["kind"], nominal_nm=None)
        for properties in many
    ]
    families: list[Family] = []
    if wanted:
        families = list(Family.objects.filter(Q(*wanted, _connector=Q.OR), merged_into=None).order_by("pk"))
    return [sorted((f for f in families if fits(f, properties)), key=partial(_rank, properties)) for properties in many]


def _rank(properties: Mapping[str, Any], family: Family) -> tuple[int, int, int]:
    """Most properties equal first, then fewest known that nobody gave, then the older."""
    known_properties = known(properties)
    same = sum(getattr(family, name) == value for name, value in known_properties.items())
    more = sum(
        getattr(family, name) not in UNKNOWN for name in (*PROPERTIES, "unequal_index") if name not in known_properties
    )
    return -same, more, family.pk


def make_family(*, by: Person, kind: str, **properties: Any) -> Family:
    """A new family of what was given; unknown properties stay unknown."""
    with event(by, "family"):
        return Family.objects.create(kind=kind, **_hands(properties), **known(properties))


def fill_in(*, by: Person, family: Family, properties: Mapping[str, Any]) -> dict[str, Any]:
    """Write into a family what it did not know, deliberately; returns what was written. Conflict where it is known
    differently by now.
    """
    with event(by, "family"):
        now = Family.objects.select_for_update(no_key=True).get(pk=family.pk)
        if not fits(now, {**properties, "kind": family.kind, "nominal_nm": family.nominal_nm}):
            raise Conflict(f"{now} was changed meanwhile.")
        known_properties = news(now, properties)
        if known_properties:
            Family.objects.filter(pk=family.pk).update(**known_properties)
            family.refresh_from_db()
        return known_properties


def find_or_make_family(*, by: Person, kind: str, fill: bool = False, **properties: Any) -> Family:
    """The family that fits best, else a new one.

    properties: any of PROPERTIES, HANDS and unequal_index. fill: also write into a fitting family what it did not know.
    """
    properties = {**properties, "kind": kind}
    [fitting] = fitting_families([properties])
    with event(by, "family"):
        if not fitting:
            return make_family(by=by, **properties)
        if fill:
            fill_in(by=by, family=fitting[0], properties=properties)
        return fitting[0]


def change_family_facts(*, by: Person, family: Family, **values: Any) -> None:
    """Write what is known of a family, by the names of its columns; None or "" is unknown again."""
    with event(by, "family"):
        Family.objects.filter(pk=family.pk).update(**values)


def merge_families(*, by: Person, family: Family, into: Family) -> FamilyMerge:
    """Say that two families are one: lines and tools go over, figures follow. Returns the record of it.

    Refusal where their kinds differ or one was merged already; Conflict where that happened meanwhile.
    """
    if family.pk == into.pk:
        raise Refusal("Choose another family.")
    if family.kind != into.kind:
        raise Refusal("Families of different kinds stay apart: change the kind of the lines first.")
    with event(by, "families merged", why=f"{family} merged into {into}") as merging:
        both = list(Family.objects.select_for_update(no_key=True).filter(pk__in=(family.pk, into.pk), merged_into=None))
        if len(both) != 2:
            raise Conflict("One of these two was merged meanwhile.")
        lines, tools = (
            list(model.objects.filter(family=family).order_by("pk").values_list("pk", flat=True))
            for model in (Line, Tool)
        )
        touch(cells=cells_of(lines), lines=lines)
        Line.objects.filter(pk__in=lines).update(family=into)
        Tool.objects.filter(pk__in=tools).update(family=into)
        Family.objects.filter(pk=family.pk).update(merged_into=into)
        _record_line_changes(merging, lines, f"family merged: {family} → {into}")
        return FamilyMerge.objects.create(
            event=merging, family=family, into=into, lines=json.dumps(lines), tools=json.dumps(tools)
        )


def take_apart(*, by: Person, merge: FamilyMerge) -> None:
    """Undo a merge, at any time: what went over goes back, unless it has gone elsewhere since.

    Refusal where it was undone already, or the family it went into was itself merged on.
    """
    family, into = merge.family, merge.into
    with one_event():
        stands = Family.objects.select_for_update(no_key=True).filter(pk=family.pk, merged_into=into).exists()
        if not stands or not FamilyMerge.objects.filter(pk=merge.pk).exists():
            raise Refusal("This merge was undone already, or the family was merged again since.")
        with event(by, "families unmerged", why=f"{family} apart from {into}", undoes=merge.event) as parting:
            _part(merge, parting)


def _part(merge: FamilyMerge, parting: Event) -> None:
    family, into = merge.family, merge.into
    lines, tools = (
        list(model.objects.filter(pk__in=json.loads(ids), family=into).values_list("pk", flat=True))
        for model, ids in ((Line, merge.lines), (Tool, merge.tools))
    )
    touch(cells=cells_of(lines), lines=lines)
    Line.objects.filter(pk__in=lines).update(family=family)
    Tool.objects.filter(pk__in=tools).update(family=family)
    Family.objects.filter(pk=family.pk).update(merged_into=None)
    _record_line_changes(parting, lines, f"families taken apart: {into} → {family}")


def _record_line_changes(happened: Event, lines: Iterable[int], description: str) -> None:
    LineChange.objects.bulk_create(
        [LineChange(event=happened, line_id=pk, kind="kind", description=description[:300]) for pk in lines],
        batch_size=500,
    )
