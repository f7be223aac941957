"""How a stored plan of a further kind was worked out: the kind's own steps, then its limits and verdict."""

from collections.abc import Iterator, Mapping
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.explain_step import Number, Step
from regrind.geometry.kinds.kind import Kind
from regrind.geometry.kinds.reading import read_case

_NOTES = "derived (notes on further kinds)"


def list_kind_steps(
    kind: Kind[Any], case: Mapping[str, Any], answer: Mapping[str, Any], option: int
) -> tuple[Step, ...]:
    """The steps behind option `option` (from 0) of a stored answer to a stored case; results as they were stored.

    Raises Refused naming `option` where the answer has none such.
    Source: each step names its own.

    >>> from regrind.geometry.kinds.drill import KIND
    >>> from regrind.geometry.kinds.example import CASES
    >>> from regrind.geometry.kinds.plan import answer_case
    >>> steps = list_kind_steps(KIND, CASES["drill"], answer_case(CASES["drill"], KIND), 0)
    >>> steps[0].name, steps[-1].result
    ('need_of_wear', 'grind')
    """
    if not 0 <= option < len(answer["options"]):
        raise Refused("option", f"must be from 0 to {len(answer['options']) - 1}")
    stored = answer["options"][option]
    read, terms = read_case(case, kind)
    steps = kind.explain(read, terms, stored) if kind.explain else ()
    return (*steps, *_explain_limits(stored), *_explain_verdict(terms.typical_mm, stored))


def _explain_limits(stored: Mapping[str, Any]) -> Iterator[Step]:
    for line in stored["limits"]:
        bound = "at most" if "at_most" in line else "at least"
        numbers = (
            Number("value", line["value"]),
            Number(bound, line[bound.replace(" ", "_")]),
            Number("margin", line["margin"]),
            Number("U", line["expanded_uncertainty"]),
        )
        formula = "inside: margin ≥ U; outside: margin ≤ −U; U = 2 √Σ(∂/∂input · u)²"
        source = "the customer's limit; verdict after the idea of ISO 14253-1"
        yield Step(f"limit_{line['limit']}", formula, numbers, line["verdict"], "", source)


def _explain_verdict(typical_mm: float, stored: Mapping[str, Any]) -> Iterator[Step]:
    if stored["regrinds_left"] is not None:
        taken = (Number("each takes", typical_mm),)
        formula = "regrinds of as much each that keep every limit"
        yield Step("regrinds_left", formula, taken, stored["regrinds_left"], "", _NOTES)
    formula = "sound, grind, ask or scrap by the lines above and what is to be asked"
    yield Step("verdict", formula, (), stored["verdict"], "", _NOTES)
