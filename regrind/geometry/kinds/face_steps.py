"""How the plan of a countersink was worked out, step by step."""

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from regrind.geometry.explain_step import Number, Step
from regrind.geometry.kinds.kind import Terms

if TYPE_CHECKING:
    from regrind.geometry.kinds.countersink import Countersink

_NOTES = "derived (notes on further kinds, countersinks)"


def explain_face(tool: "Countersink", terms: Terms, stored: Mapping[str, Any]) -> Iterator[Step]:
    """The steps of one stored option, in the order to check them.

    Source: each step names its own.

    >>> from regrind.geometry.kinds.example import CASES, read_example
    >>> from regrind.geometry.kinds.plan import answer_case
    >>> from regrind.geometry.kinds.countersink import KIND
    >>> option = answer_case(CASES["countersink"], KIND)["options"][0]
    >>> [step.name for step in explain_face(*read_example("countersink"), option)]
    ['face_stock', 'index_angle', 'diameter_after', 'set_back']
    """
    stock = Number("f", stored["face_stock_mm"])
    marks = tuple(Number("wear", mark.length_mm) for mark in tool.marks if mark.length_mm)
    finish = (Number("finish", tool.finish_mm),) if marks else ()
    yield Step("face_stock", "the widest of these and the finish", (*marks, *finish), stock.value, "mm", _NOTES)
    diameter, angle = Number("D", tool.diameter_mm), Number("σ", math.degrees(tool.included_rad), "°")
    relief = Number("α", 10.0 if tool.relief_deg is None else tool.relief_deg, "°")
    yield Step("index_angle", "f / (D / 2)", (stock, diameter), stored["index_deg"], "°", _NOTES)
    yield Step("diameter_after", "D − 2 f tan α", (diameter, stock, relief), stored["diameter_mm"], "mm", _NOTES)
    numbers = (stock, relief, angle)
    yield Step("set_back", "f tan α cot(σ / 2)", numbers, stored["set_back_mm"], "mm", _NOTES)
