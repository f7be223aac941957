"""What the demo's owner wrote down: prices, costs and new tools of some families, each from a day on."""

from datetime import timedelta
from typing import Any

from regrind.receiving.line_parser import parse_line
from regrind.record.actions import find_or_make_family
from regrind.record.models import Family
from regrind.record.rate_changes import keep_rates
from regrind.record.rates import Scope, newest_pk
from regrind.shop.models import Person

from .clock import Clock
from .shop import minor

KNOWN = (
    "nominal_nm",
    "teeth",
    "material",
    "coating",
    "helix_cdeg",
    "corner_radius_nm",
    "point_angle_cdeg",
    "thread",
    "tap_flutes",
    "unequal_index",
    "flute_length_nm",
)
MONEY = ("price", "wheel", "new")


def family_of(wording: str, by: Person) -> Family:
    """The family of a tool as it is said on a slip, without its count."""
    line = parse_line(f"1 x {wording}", "in")
    return find_or_make_family(by=by, kind=line.kind, **{name: getattr(line, name) for name in KNOWN})


def keep_all(entries: list[dict[str, Any]], by: Person, clock: Clock) -> None:
    """Write them down in the order of their days, as the owner would have."""
    for rate in sorted(entries, key=lambda rate: -rate["days_ago"]):
        scope: Scope = (family_of(rate["of"], by).pk, "")
        amounts: dict[tuple[str, str], int | None] = {
            (column, ""): minor(rate[column]) for column in MONEY if column in rate
        }
        amounts |= {("life", ""): rate["life"]} if "life" in rate else {}
        keep_rates(
            by=by,
            scope=scope,
            amounts=amounts,
            seen=newest_pk(scope),
            from_day=(clock.started - timedelta(days=rate["days_ago"])).date(),
        )
