"""What a plan takes as usual: the shop's allowances, or a family's own where somebody accepted them, and its stock."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Exists

from regrind.geometry.inputs import Allowances, Typical
from regrind.record.defaults import accepted
from regrind.record.find import recent_lines
from regrind.record.models import Family
from regrind.shop.models import ShopSettings
from regrind.shop.owner.settings import shop_settings

from ..models import FinalCheck
from ..readings import diameter_loss
from ..revisions import grind_of_sides

ENOUGH = 5  # regrinds of a family before its own usual stock is used
NEWEST = 200  # and of the newest of them, so that the plan costs the same after twenty years


@dataclass(frozen=True)
class Usual:
    """Allowances, and the shop's step of sizes; typical: stock and cut-back of one regrind, None before there are
    enough; from_history: in words, what of it comes from the family's own history, with the number of cases."""

    allow: Allowances
    size_step_nm: int
    typical: Typical | None = None
    from_history: tuple[str, ...] = ()


def usual_of_shop(shop: ShopSettings) -> Usual:
    return Usual(Allowances(shop.finish_radial_nm, shop.finish_end_nm, shop.stylus_distance_nm), shop.size_step_nm)


def usual_of(family: Family) -> Usual:
    """What holds for a family: three queries, whatever its history."""
    usual = usual_of_shop(shop_settings())
    for allowance, row in accepted(family).items():
        words = f"the {row.get_what_display()}, as accepted for this family from {row.cases} regrinds"
        value: dict[str, Any] = {f"{allowance}_nm": row.value_nm}
        usual = replace(usual, allow=replace(usual.allow, **value), from_history=(*usual.from_history, words))
    stock, cases = usual_stock(family)
    if stock is None:
        return usual
    words = f"the stock of a usual regrind, from the last {cases} of this family, for the regrinds left"
    return replace(usual, typical=stock, from_history=(*usual.from_history, words))


def usual_stock(family: Family) -> tuple[Typical | None, int]:
    """What one regrind usually takes off this family and from how many cases; None before there are enough.

    Only what was measured on one piece before and after counts, where the sides were ground and nothing was undone;
    what came off the end is as the plans of these regrinds had it. One query.
    """
    cases = list(
        FinalCheck.objects.filter(Exists(grind_of_sides()), piece__line__in=recent_lines(family.pk), passed=True)
        .annotate(taken=diameter_loss())
        .filter(taken__isnull=False)
        .order_by("-pk")
        .values_list("taken", "grind__plan__cut_back_nm")[:NEWEST]
    )
    stock = sum(taken for taken, _ in cases)
    if len(cases) < ENOUGH or stock <= 0:
        return None, len(cases)
    return Typical(round(stock / len(cases) / 2), _mean(nm for _, nm in cases)), len(cases)


def _mean(lengths_nm: Iterable[int | None]) -> int:
    values = [nm for nm in lengths_nm if nm is not None]
    return round(sum(values) / len(values)) if values else 0
