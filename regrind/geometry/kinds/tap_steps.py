"""How the plan of a tap was worked out, step by step."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from regrind.geometry.explain_step import Number, Step
from regrind.geometry.kinds.kind import Terms

if TYPE_CHECKING:
    from regrind.geometry.kinds.tap import Tap

_NOTES = "derived (notes on further kinds, taps)"


def explain_tap(tap: "Tap", terms: Terms, stored: Mapping[str, Any]) -> Iterator[Step]:
    """The steps of one stored option, in the order to check them.

    Source: each step names its own.

    >>> from regrind.geometry.kinds.example import CASES, read_example
    >>> from regrind.geometry.kinds.plan import answer_case
    >>> from regrind.geometry.kinds.tap import KIND
    >>> option = answer_case(CASES["tap"], KIND)["options"][0]
    >>> [step.name for step in explain_tap(*read_example("tap"), option)]
    ['cut_back', 'full_thread', 'chamfer_threads']
    """
    cut, chamfer = Number("c", stored["cut_back_mm"]), Number("l", tap.chamfer_length_mm)
    marks = tuple(Number("worn", mark.length_mm) for mark in tap.marks if mark.length_mm)
    finish = (Number("finish", tap.finish_mm),) if marks else ()
    yield Step("cut_back", "the longest of these and the finish", (*marks, *finish), cut.value, "mm", _NOTES)
    lengths = (Number("L", tap.thread_length_mm), chamfer, cut)
    yield Step("full_thread", "L − l − c", lengths, stored["full_thread_mm"], "mm", _NOTES)
    threads = (chamfer, Number("P", tap.thread.pitch_mm))
    source = "shared/29_kinds_published.csv: threads in the chamfer, DIN 2197"
    yield Step("chamfer_threads", "l / P", threads, stored["chamfer_threads"], "", source)
