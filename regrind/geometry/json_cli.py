"""Cases from bytes: one JSON object, or one per line; each answered or refused by itself."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from regrind.geometry.case import read
from regrind.geometry.errors import Refused
from regrind.geometry.kinds.plan import answer_case
from regrind.geometry.kinds.registry import find_kind
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.geometry.units import quote

_WHAT = "a file holds one JSON object, or one on each line"


@dataclass(frozen=True, slots=True)
class Result:
    """What became of the case on `line`: an answer ready for JSON, or why it was refused."""

    line: int
    answer: dict[str, Any] | None
    refused: Refused | None


def answer_cases(raw: bytes) -> Iterator[Result]:
    """Answer every case in `raw`, in order; nothing raises for what is in it.

    A text that is one JSON document over any number of lines is one case, on line 1. Otherwise it is JSON
    Lines, unless no line is an object by itself: then it is one document, broken.
    Source: the headless plan's input and output (docs/plan.md).

    >>> [(result.line, result.refused.field) for result in answer_cases(b'{"tool": 5}')]
    [(1, 'tool')]
    """
    try:
        data = _parse(raw)
    except Refused as fault:
        lines = _split(raw)
        if not _is_lines(lines):
            yield Result(1, None, fault)
            return
        for number, line in lines:
            yield _answer_line(number, line)
    else:
        yield _answer(1, data)


def _split(raw: bytes) -> list[tuple[int, bytes]]:
    """The lines that hold anything, with their numbers; only a line feed ends one."""
    return [(number, line) for number, line in enumerate(raw.split(b"\n"), 1) if line.strip()]


def _is_lines(lines: list[tuple[int, bytes]]) -> bool:
    if len(lines) < 2:
        return False
    starts = [line.startswith(b"{") for _, line in lines]
    return all(starts) or any(start and _is_object(line) for start, (_, line) in zip(starts, lines, strict=True))


def _is_object(line: bytes) -> bool:
    try:
        return isinstance(_parse(line), dict)
    except Refused:
        return False


def _answer_line(number: int, line: bytes) -> Result:
    try:
        return _answer(number, _parse(line))
    except Refused as fault:
        return Result(number, None, fault)


def _answer(number: int, data: Any) -> Result:
    try:
        kind = find_kind(data)
        return Result(number, answer_case(data, kind, number) if kind else _answer_end_mill(data, number), None)
    except Refused as fault:
        return Result(number, None, fault)


def _answer_end_mill(data: Any, number: int) -> dict[str, Any]:
    return as_dict(work_out(read(data)), number)


def _parse(raw: bytes) -> Any:
    """JSON in UTF-8 without a mark, no key twice. Raises Refused on `case`.

    NaN and Infinity are let through to the readers of the fields, which refuse them by name.
    """
    if not raw.strip():
        raise Refused("case", f"is empty: {_WHAT}")
    try:
        return json.loads(raw.decode(), object_pairs_hook=_make_object)
    except UnicodeDecodeError as fault:
        raise Refused("case", f"is not UTF-8 text (byte {fault.start + 1}): {_WHAT}") from fault
    except RecursionError as fault:
        raise Refused("case", f"is nested too deeply: {_WHAT}") from fault
    except json.JSONDecodeError as fault:
        place = f"line {fault.lineno}, column {fault.colno}" if fault.lineno > 1 else f"column {fault.colno}"
        raise Refused("case", f"is not JSON ({fault.msg}, {place}): {_WHAT}") from fault
    except Refused:
        raise
    except ValueError as fault:
        raise Refused("case", f"holds a number with too many digits: {_WHAT}") from fault


def _make_object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise Refused(quote(twice).strip('"'), "stands twice in one object: a key may stand once")
    return table
