"""The primary relief that the sides are ground to, as the stored plan has it, and how far a check may be off it."""

import json
import math

from ..models import Plan
from .prefill import root_of

DROP_TOLERANCE_RAD = math.radians(1)  # common practice: primary relief within a degree
TOLERANCE_CDEG = 100  # the same, in hundredths of a degree


def relief_target_cdeg(plan: Plan | None) -> int | None:
    """The relief that the setup card of a plan aims for, in hundredths of a degree; None where it has none.

    It is the tool's own, measured or known, else the default that the plan assumed.
    """
    root = root_of(plan) if plan else None
    if root is None or not root.case or not root.answer:
        return None
    known = json.loads(root.case)["tool"].get("primary_relief_deg")
    assumed = {item["field"]: item["value"] for item in json.loads(root.answer)["defaults"]}
    degrees = assumed.get("primary_relief_deg") if known is None else known
    return None if degrees is None else round(degrees * 100)
