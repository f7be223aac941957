"""How a stored plan was worked out, step by step, from the case and the answer as they were stored."""

import json
from dataclasses import dataclass
from itertools import groupby
from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.geometry.bibliography import Reference, short_reference
from regrind.geometry.errors import Refused
from regrind.geometry.explain import list_steps
from regrind.geometry.explain_step import Number, Step
from regrind.geometry.units import Unit, show_with_unit, to_nm
from regrind.record.find import piece_or_404
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.people.access import needs

from ..models import Plan
from ..revisions import newest
from .step_words import LIMITS, PARTS, REASONS, STEPS

VERDICTS = ("inside", "too_close", "outside", "grind", "sound", "ask", "scrap")
FIGURES = {
    "diameter_mm": "Diameter after",
    "cut_back_mm": "Cut back",
    "usable_length_mm": "Usable length after",
    "width_mm": "Width after",
    "face_stock_mm": "Stock off the face, square to it",
    "full_thread_mm": "Full thread left",
}
PLACES: dict[Unit, int] = {"mm": 4, "in": 5}


@dataclass(frozen=True)
class Row:
    """The numbers of one step and what came out; `state` where that is a verdict."""

    numbers: str
    result: str
    state: str = ""


@dataclass(frozen=True)
class Item:
    """Steps that follow one formula, said once."""

    title: str
    formula: str
    source: Reference
    rows: tuple[Row, ...]


@needs("front_desk", "bench")
@require_GET
def explain(request: HttpRequest, number: str) -> HttpResponse:
    """Every step behind an option of a piece's newest plan; `?option=` asks for another than the chosen one."""
    piece = piece_or_404(number)
    unit = piece.line.batch.customer.unit
    plan = newest(Plan, [piece]).get(piece.pk)
    source = cast("Plan | None", plan and (plan.copied_from or plan))
    case, answer = (_stored(source, name) for name in ("case", "answer"))
    context: dict[str, Any] = {
        "piece": piece,
        "plan": plan,
        "copied_from": plan.copied_from if plan else None,
        "unit": unit,
        "answer": answer,
        "options": (answer or {}).get("options", []),
    }
    if case and answer and answer["options"]:
        context |= _show(case, answer, _option(request, plan, answer), unit)
    return render(request, "bench/explain.html", context)


def _stored(plan: Plan | None, name: str) -> dict[str, Any] | None:
    text = getattr(plan, name) if plan else ""
    return json.loads(text) if text else None


def _option(request: HttpRequest, plan: Plan | None, answer: dict[str, Any]) -> int:
    """The option asked for, else the one that was taken, else the recommended one."""
    asked = read_whole(request.GET.get("option"), 3)
    if asked is not None and asked < len(answer["options"]):
        return asked
    taken = plan.chosen if plan else None
    return taken if taken is not None else answer["recommended"] or 0


def _show(case: dict[str, Any], answer: dict[str, Any], option: int, unit: Unit) -> dict[str, Any]:
    chosen = answer["options"][option]
    figures = [(label, chosen[name]) for name, label in FIGURES.items() if chosen.get(name) is not None]
    shown = {"option": option, "chosen": chosen, "figures": figures}
    try:
        steps = list_steps(case, answer, option)
    except Refused as refused:
        return {**shown, "refused": refused.message}
    reasons = [_reason(code) for code in answer["options"][option]["reasons"]]
    return {
        **shown,
        "parts": _sort(steps, unit),
        "reasons": reasons,
        "defaults": [_default(each, unit) for each in answer["defaults"]],
    }


def _sort(steps: tuple[Step, ...], unit: Unit) -> list[tuple[str, list[Item]]]:
    """The steps under the headings of their parts; neighbours of one formula become one item."""
    items = [
        (name, _item(name, list(alike), unit))
        for (name, *_), alike in groupby(steps, lambda step: (step.name, step.formula, step.source))
    ]
    return [
        (heading, [item for _, item in group]) for heading, group in groupby(items, lambda pair: PARTS[_kind(pair[0])])
    ]


def _kind(name: str) -> str:
    return "limit" if name.startswith("limit_") else name


def _item(name: str, steps: list[Step], unit: Unit) -> Item:
    title = STEPS.get(name) or f"Limit: {LIMITS.get(name.removeprefix('limit_'), name.removeprefix('limit_'))}"
    rows = tuple(
        Row(
            ", ".join(_number(n, unit) for n in step.numbers),
            _result(step, unit),
            step.result if isinstance(step.result, str) and step.result in VERDICTS else "",
        )
        for step in steps
    )
    return Item(title, steps[0].formula, short_reference(steps[0].source), rows)


def _number(number: Number, unit: Unit) -> str:
    return f"{number.symbol} = {_value(number.value, number.unit, unit)}"


def _result(step: Step, unit: Unit) -> str:
    if step.result is None:
        return "none"
    return step.result if isinstance(step.result, str) else _value(step.result, step.unit, unit, both=True)


def _value(value: float, kind: str, unit: Unit, *, both: bool = False) -> str:
    """A length in the customer's unit, results in the other too; degrees to three places; the rest plain."""
    if kind == "mm":
        text = _length(value, unit)
        return f"{text} ({_length(value, 'mm' if unit == 'in' else 'in')})" if both else text
    if kind == "°":
        return f"{value:.3f}°".replace("-", "\u2212")
    return f"{value:g}" if float(value).is_integer() else f"{value:.4f}"


def _length(mm: float, unit: Unit) -> str:
    return show_with_unit(to_nm(mm), unit, places=PLACES[unit])


def _default(each: dict[str, Any], unit: Unit) -> dict[str, Any]:
    """A usual value in words: degrees where its name ends in _deg, else a length."""
    kind = "°" if each["field"].endswith("_deg") else "mm"
    value, spread = (_value(each[name], kind, unit) for name in ("value", "standard_uncertainty"))
    return {
        "field": each["field"].removesuffix("_deg").replace("_", " "),
        "value": f"{value} ± {spread} (k = 1)",
        "source": short_reference(each["source"]),
    }


def _reason(code: str) -> str:
    for start, words in REASONS.items():
        if code == start:
            return words
        if start.endswith("_") and code.startswith(start):
            about = code.removeprefix(start)
            return words.format(LIMITS.get(about, about.removesuffix("_deg").replace("_", " ")))
    return code.replace("_", " ")
