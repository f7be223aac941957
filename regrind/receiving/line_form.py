"""One line of like tools, field by field, as it will be saved."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from regrind.geometry.errors import Refused
from regrind.geometry.units import Unit
from regrind.record.actions import adds, news
from regrind.record.dimension_words import property_words
from regrind.record.holes import LONGEST, read_hole_text
from regrind.record.kinds import KINDS
from regrind.record.line_dimensions import read_values, tool_of
from regrind.record.models import Family, Line
from regrind.shop.fields.forms import LengthText
from regrind.shop.fields.whole_numbers import WholeText

from .family_form import ANGLES, LENGTHS, PLAIN, FamilyForm
from .fields import exact_text
from .line_parser import MOST_PIECES, Ask, ParsedLine

OF_LINE = ("size_unknown", "count", "customer_tool_number", "matched", "hole")


@dataclass
class Question:
    """What must be answered before a line is saved, and each answer: its words, and what its button sends."""

    text: str
    answers: list[tuple[str, str]]


@dataclass
class Option:
    """A family that a line may be of: the choice's value, its name, and what choosing it writes or leaves out."""

    value: str
    name: str
    also: str = ""


class OfferedForm(FamilyForm):
    """A FamilyForm that offers the known families that fit, so that nothing unknown makes a second one."""

    offered = forms.CharField(max_length=400, required=False, widget=forms.HiddenInput)
    family_choice = forms.CharField(max_length=20, required=False)

    options: list[Option]
    chosen: str = ""
    chosen_before: str = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.options = []

    def offer(self, fits: list[Family]) -> None:
        """Offer what fits. The best is chosen first, unless it would add what `adds` names: then nothing is."""
        properties = self.family()
        for family in fits:
            self.options += self._options_of(family, properties)
        self.options.append(Option("new", "a new family"))
        harmless = [str(family.pk) for family in fits if not adds(family, properties)]
        first = harmless[0] if harmless else "" if fits else "new"
        self.chosen_before = self.cleaned_data.get("family_choice", "")
        self.chosen = self.chosen_before if self.chosen_before in [option.value for option in self.options] else first

    def _options_of(self, family: Family, properties: dict[str, Any]) -> list[Option]:
        """The family as it is, and, where the line states more, the family with that written into it."""
        fresh = property_words(news(family, properties), self.unit)
        added = property_words(adds(family, properties), self.unit)
        also = [f"adds {added}, assumed until confirmed"] if added else []
        also += [f"{fresh} is kept with this line"] if fresh else []
        options = [Option(str(family.pk), family.name(self.unit), "; ".join(also))]
        if fresh:
            options.append(Option(f"{family.pk}+", family.name(self.unit), f"and write {fresh} into the family"))
        return options

    @property
    def undecided(self) -> bool:
        """Whether every known family would add something that was not stated, and nobody chose yet."""
        return bool(self.options) and not self.chosen

    def stale(self) -> bool:
        """Whether there is a choice now that the page did not show: then it must be looked at again.

        Where what was chosen no longer fits and nothing else does, a new family needs no asking.
        """
        now = [option.value for option in self.options]
        shown = self.cleaned_data.get("offered", "").split() or ["new", now[0]]
        unseen = any(value not in shown for value in now)
        return unseen or (len(now) > 1 and bool(self.chosen_before) and self.chosen_before not in now)

    @property
    def choice_name(self) -> str:
        """The name that the choice of a family is posted by."""
        return self.add_prefix("family_choice")

    def offered_now(self) -> str:
        return " ".join(option.value for option in self.options)[:400]


class LineForm(OfferedForm):
    """A line of a box, before it is saved."""

    wording = forms.CharField(max_length=200, required=False, widget=forms.HiddenInput)
    size_unknown = forms.BooleanField(label="Size unknown", required=False)
    count = WholeText(label="Pieces", least=1, most=MOST_PIECES)
    customer_tool_number = forms.CharField(label="Customer's part number", max_length=60, required=False)
    matched = forms.BooleanField(label="Keep matched, all at one size", required=False)
    match_tolerance = LengthText(label="Matched within", least_nm=2_540, most_nm=5_000_000, required=False)
    hole = forms.CharField(label="Hole to ream", max_length=LONGEST, required=False)
    note = forms.CharField(max_length=2000, required=False)

    questions: list[Question]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.questions = []

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("matched") and not data.get("match_tolerance") and "match_tolerance" not in self.errors:
            self.add_error(
                "match_tolerance",
                "Write how closely the pieces stay matched: .0005 in for example, from .0001 in to 5 mm.",
            )
        self._check_hole(data)
        return data

    def _check_hole(self, data: dict[str, Any]) -> None:
        nominal = data.get("nominal")
        try:
            if data.get("hole"):
                read_hole_text(data["hole"], nominal.nm if nominal else None, self.unit)
        except Refused as refused:
            self.add_error("hole", refused.message)

    @property
    def asks_hole(self) -> bool:
        """Whether such tools ream: the hole is asked for, or shown where the words told it."""
        kind = KINDS.get(self["kind"].value())
        return bool(self["hole"].value()) or (kind is not None and kind.reams)

    def line(self) -> dict[str, Any]:
        """What is the line's own, by the names that log_line takes."""
        data = self.cleaned_data
        return {
            name: data.get(name) for name in ("wording", "count", "customer_tool_number", "matched", "note", "hole")
        } | {"match_tolerance_nm": data["match_tolerance"].nm if data.get("match_tolerance") else None}

    def ask(self, asks: list[Ask]) -> None:
        """Ask what the words left open and nobody filled in, and what could be two lengths."""
        for ask in asks:
            if not self.data.get(self.add_prefix(ask.fields[0])):
                answers = [(words, self._fill(values)) for words, values in ask.answers.items()]
                self.questions.append(Question(ask.question, answers))
        for name, errors in self.errors.as_data().items():
            for error in errors:
                if choices := (error.params or {}).get("choices", []):
                    answers = [(choice, self._fill({name: choice})) for choice in choices]
                    self.questions.append(Question(str(error.messages[0]), answers))
                elif name == "nominal" and not self.questions and not self.data.get(self.add_prefix(name)):
                    answers = [("Size unknown", self._fill({"size_unknown": "on"}))]
                    self.questions.append(Question("The cutting diameter is not written.", answers))
                elif error.code != "required" and self.data.get(self.add_prefix(name)):
                    self.questions.append(Question(str(error.messages[0]), []))

    def _fill(self, values: Mapping[str, str]) -> str:
        return "&".join(f"{self.add_prefix(name)}={value}" for name, value in values.items())

    def hush(self) -> None:
        """An echo shows no errors: half a word typed is no mistake."""
        self.errors.clear()


class KindForm(OfferedForm):
    """What an existing line's tools are, changed."""

    reason = forms.CharField(label="Why it changes", max_length=200, required=False)

    def __init__(self, *args: Any, unit: Unit, line: Line, **kwargs: Any) -> None:
        super().__init__(*args, unit=unit, initial=initial_of(tool_of(line), unit), **kwargs)
        self.line = line

    def stated(self) -> dict[str, Any]:
        """What the line states now: what it stated or was confirmed before, and each field that was changed."""
        properties = self.family()
        if not self.line.stated:
            return properties
        changed = {f"{name}_nm" for name in LENGTHS} | {f"{name}_cdeg" for name in ANGLES} | set(PLAIN)
        changed = {name for name in changed if name.removesuffix("_nm").removesuffix("_cdeg") in self.changed_data}
        before = read_values(self.line.stated).keys() | read_values(self.line.confirmed).keys()
        return {name: value for name, value in properties.items() if name in before | changed}


def data_of(parsed: ParsedLine, unit: Unit) -> dict[str, Any]:
    """The values of a LineForm from what was understood; what was not goes into the note, word by word."""
    plain = {name: getattr(parsed, name) for name in (*PLAIN, *OF_LINE)}
    lengths = {
        name: parsed.texts.get(name) or exact_text(getattr(parsed, f"{name}_nm"), unit)
        for name in (*LENGTHS, "match_tolerance")
        if name in parsed.texts or getattr(parsed, f"{name}_nm")
    }
    note = ", ".join([*parsed.notes, *([" ".join(parsed.unknown)] if parsed.unknown else [])])
    values = plain | lengths | _angle_texts(parsed) | {"wording": parsed.text, "note": note}
    asked = {name for ask in parsed.asks for name in ask.fields}
    return {name: value for name, value in values.items() if name not in asked}


def _angle_texts(source: ParsedLine | Family) -> dict[str, str]:
    angles = {name: getattr(source, f"{name}_cdeg") for name in ANGLES}
    return {name: f"{cdeg / 100:g}" for name, cdeg in angles.items() if cdeg is not None}


def initial_of(family: Family, unit: Unit) -> dict[str, Any]:
    """A family as the first values of a FamilyForm."""
    lengths = {name: exact_text(getattr(family, f"{name}_nm"), unit) for name in LENGTHS}
    return {name: getattr(family, name) for name in PLAIN} | lengths | _angle_texts(family)


def posted_lines(post: Mapping[str, Any], prefixes: list[str]) -> dict[str, dict[str, Any]]:
    """What stood in each posted LineForm, by what was said: an echo keeps what was mended by hand."""
    by_wording: dict[str, dict[str, Any]] = {}
    for prefix in prefixes:
        values = {name.removeprefix(f"{prefix}-"): post[name] for name in post if name.startswith(f"{prefix}-")}
        by_wording.setdefault(str(values.get("wording", "")), values)
    return by_wording
