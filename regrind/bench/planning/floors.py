"""A smallest diameter that nobody named: a kind's plan takes the usual one, and it is called that."""

from collections.abc import Mapping
from typing import Any

from regrind.record.models import Line


def name_floors(option: Mapping[str, Any], line: Line) -> dict[str, Any]:
    """The option with its limit on the diameter named as the usual one, where neither line nor customer has any."""
    if line.smallest_diameter_nm() is not None or not option.get("limits"):
        return dict(option)
    limits = [
        limit | {"limit": "diameter_floor"} if limit["limit"] == "diameter" else limit for limit in option["limits"]
    ]
    reasons = [f"{code}_floor" if code.endswith("_diameter") else code for code in option["reasons"]]
    return {**option, "limits": limits, "reasons": reasons}
