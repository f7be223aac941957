"""The largest runout a piece may be released with, and who says so."""

from dataclasses import dataclass

from regrind.geometry.runout import find_runout_limit
from regrind.geometry.units import NM_PER_MM, to_nm
from regrind.record.kinds import END_MILLS
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line
from regrind.shop.models import ShopSettings


@dataclass(frozen=True)
class RunoutLimit:
    """A largest total indicator reading in nm. agreed: with the customer."""

    most_nm: int
    source: str
    agreed: bool = False


def runout_limit(line: Line, diameter_nm: int | None, shop: ShopSettings) -> RunoutLimit | None:
    """The customer's own limit, else the published row for a carbide end mill, else the shop's; None without any.

    A material that is only assumed picks no row.

    diameter_nm: as ground, None where it was not read: then the family's nominal diameter counts.
    """
    agreed_nm = line.most_runout_nm()
    if agreed_nm is not None:
        return RunoutLimit(agreed_nm, "the customer’s limit", agreed=True)
    size = diameter_nm or line.family.nominal_nm
    if size and line.family.kind in END_MILLS and tool_of(line, with_assumed=False).material == "carbide":
        published = find_runout_limit(size / NM_PER_MM)
        if published:
            return RunoutLimit(to_nm(published.most_mm), "a maker’s tolerance for carbide finishers of this diameter")
    if shop.runout_limit_nm is not None:
        return RunoutLimit(shop.runout_limit_nm, "the shop’s limit")
    return None
