"""What a family's own history taught the shop to take: accepted by somebody, kept with the cases it rests on."""

from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Person

from .models import Family, FamilyDefault

WHATS = ("finish_radial", "finish_end")
MOST_NM = {"finish_radial": 1_000_000, "finish_end": 2_000_000}


def accepted(family: Family) -> dict[str, FamilyDefault]:
    """By what it is, the default that holds for a family; nothing for what was never accepted or was taken back."""
    rows = FamilyDefault.objects.filter(family=family).select_related("event__by").order_by("pk")
    newest = {row.what: row for row in rows}
    return {what: row for what, row in newest.items() if row.value_nm is not None}


def accept_default(
    *, by: Person, family: Family, what: str, value_nm: int | None, cases: int, off_nm: int, seen: int
) -> FamilyDefault:
    """Take `value_nm` (nm) for this family from now on; None takes back what was accepted, and the shop's own holds.

    cases, off_nm: how many regrinds it rests on and their mean bias in nm. seen: the primary key of the newest row that
    the page saw of this family and what, 0 for none. Refusal where the value is none that can be; Conflict where
    somebody accepted or took back another meanwhile.
    """
    if what not in WHATS:
        raise Refusal("A family keeps a finish allowance of the sides or of the end, nothing else.")
    if value_nm is not None and not 0 <= value_nm <= MOST_NM[what]:
        raise Refusal("That is no finish allowance: from nothing to a millimetre on the sides, two on the end.")
    with event(by, "family default") as accepting:
        Family.objects.select_for_update(no_key=True).get(pk=family.pk)
        if newest_pk(family, what) != seen:
            raise Conflict("Somebody accepted or took back another value of this family while the page was open.")
        return FamilyDefault.objects.create(
            event=accepting, family=family, what=what, value_nm=value_nm, cases=cases, off_nm=off_nm
        )


def newest_pk(family: Family, what: str) -> int:
    newest = FamilyDefault.objects.filter(family=family, what=what).order_by("-pk").values_list("pk", flat=True)
    return newest.first() or 0
