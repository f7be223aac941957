"""From words to lines: read field by field, shown, then saved all at once."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError

from regrind.geometry.units import Unit
from regrind.record.actions import fitting_families
from regrind.record.models import Batch, Family, Line
from regrind.shop.fields.forms import ShopForm
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.models import Person

from .actions import log_line
from .family_choice import choose_family
from .forms import MOST_CHARACTERS
from .line_form import LineForm, data_of, posted_lines
from .line_parser import LONGEST, MOST_LINES, parse_line, parse_lines, plain_text, split_lines
from .line_summary import Fact, Row, facts, row

FILLED = re.compile(r"l[0-9]{1,3}-(?:count|nominal|corner_radius|shank|flute_length|overall|size_unknown|note)")


class ReadLine:
    """One line on the page: its form, what was understood, and what the page says about it."""

    def __init__(self, form: LineForm) -> None:
        self.form, self.unit = form, form.unit
        self.parsed = parse_line(form.data.get(form.add_prefix("wording"), ""), form.unit)
        self.valid = form.is_valid()
        form.ask(self.parsed.asks)

    @property
    def open_fields(self) -> bool:
        """Whether the fields are shown at once: somebody opened them, or there is something to fix or to fill in."""
        form = self.form
        asked_here = bool(form.questions) and all(question.answers for question in form.questions)
        wrong = bool(form.errors or form.questions) and not asked_here
        return wrong or bool(form.data.get(form.add_prefix("edit")))

    @property
    def facts(self) -> list[Fact]:
        rows = facts(self.form.family(), self.form.line(), self.parsed.assumed, self.unit)
        if self.form.lacks_size():
            rows.append(Fact("diameter", "unknown"))
        note = ", ".join(self.parsed.notes)
        return [*rows, Fact("note:", note)] if note else rows

    @property
    def row(self) -> Row:
        return row(self.facts)

    @property
    def doubtful(self) -> bool:
        """Whether somebody must check the line: something is asked, was not understood, or may mean something else."""
        parsed, form = self.parsed, self.form
        return bool(form.questions or form.errors or form.undecided or parsed.unknown or parsed.ambiguities)


@dataclass
class Total:
    """How many pieces the lines hold together, beside what the customer counted. uncounted: lines without a count."""

    pieces: int
    uncounted: int
    before: int
    their_count: int | None
    unanswered: int = 0  # lines that cannot be saved before somebody answered or filled in something

    @property
    def differs(self) -> int:
        """Pieces more (or, below 0, fewer) than the customer counted; 0 where they agree or nobody counted."""
        return self.pieces + self.before - self.their_count if self.their_count else 0


def total(read: list[ReadLine], batch: Batch) -> Total:
    """The total of the lines on the page; the pieces that are logged already count in `before`."""
    counts = [line.form.cleaned_data.get("count") for line in read]
    unanswered = sum(bool(form.questions or form.errors or form.undecided) for form in (line.form for line in read))
    return Total(sum(filter(None, counts)), counts.count(None), batch.pieces.count(), batch.their_count, unanswered)


def read_back(wording: str, unit: Unit, post: Mapping[str, Any]) -> list[ReadLine]:
    """Each line with its form; what was edited on the page stays, as long as the words of the line stay."""
    edited = posted_lines(post, prefixes(post))
    lines = []
    for n, parsed in enumerate(parse_lines(wording, unit)):
        values = edited.get(parsed.text) or data_of(parsed, unit)
        form = LineForm(
            {f"l{n}-{name}": value for name, value in values.items() if value not in (None, False)},
            prefix=f"l{n}",
            unit=unit,
        )
        lines.append(ReadLine(form))
    offer_families(lines)
    for line in lines:
        line.form.hush()
    return lines


def too_much(words: str) -> str:
    """Why so many lines cannot be read at once, "" where they can: nothing is left out without a word."""
    lines = split_lines(words)
    if len(lines) > MOST_LINES:
        return f"These are {len(lines)} lines. At most {MOST_LINES} can be read at once: save some, then add the rest."
    for n, line in enumerate(lines, start=1):
        if (length := len(plain_text(line))) > LONGEST:
            return f"Line {n} has {length} characters. A line holds at most {LONGEST}: make two lines of it."
    if len(words) > MOST_CHARACTERS:
        return f"These are {len(words)} characters. At most {MOST_CHARACTERS} can be read at once."
    return ""


def is_tabular(words: str) -> bool:
    """Whether what was pasted has the cells of a table: the rows of a packing list."""
    return sum("\t" in line for line in split_lines(words)) > 1


def answered(post: Mapping[str, Any]) -> dict[str, Any]:
    """What was sent, with the one answer that a button brings: `fill` says which fields hold which values."""
    pairs = [pair.partition("=") for pair in str(post.get("fill", "")).split("&")]
    return {key: post[key] for key in post} | {name: value for name, _, value in pairs if FILLED.fullmatch(name)}


def posted(post: Mapping[str, Any], unit: Unit) -> list[ReadLine]:
    """The lines as they stood on the page that was sent, with their errors."""
    lines = [ReadLine(LineForm(post, prefix=prefix, unit=unit)) for prefix in prefixes(post)]
    offer_families(lines)
    return lines


def prefixes(post: Mapping[str, Any]) -> list[str]:
    count = read_whole(str(post.get("lines", "")), 3) or 0
    return [f"l{n}" for n in range(min(count, MOST_LINES))]


def offer_families(lines: list[ReadLine]) -> None:
    """Offer each understood line the families that fit it; one query for all of them."""
    good = [line for line in lines if line.valid]
    for line, fits in zip(good, fitting_families([line.form.family() for line in good]), strict=True):
        line.form.offer(fits)


CHANGED = "The words were changed after they were read: check the fields below, then save."


class ReadBackForm(ShopForm):
    """The lines as they were read back, to be kept all at once as they were shown.

    words: what was said of them. lines: each as it stood on the page that was sent.
    """

    def __init__(self, post: Mapping[str, Any], *, unit: Unit) -> None:
        super().__init__(post)
        self.unit, self.words = unit, str(post.get("wording", ""))
        self.lines = posted(post, unit)

    def clean(self) -> None:
        if problem := too_much(self.words):
            raise ValidationError(problem)
        if not self.lines:
            raise ValidationError("Write what is in the box first.")
        if [parsed.text for parsed in parse_lines(self.words, self.unit)] != [line.parsed.text for line in self.lines]:
            raise ValidationError(CHANGED)
        if not all(line.valid for line in self.lines):
            raise ValidationError("Nothing was saved yet. Fix the fields marked below.")
        if any(line.form.undecided for line in self.lines):
            raise ValidationError("Nothing was saved yet. Choose a family where the page asks for it.")
        if any(line.form.stale() for line in self.lines):
            raise ValidationError("Other families fit than the page showed: check them below, then save.")

    @property
    def problem(self) -> str:
        """Why the lines cannot be kept as they were sent; "" where they can."""
        return str(next(iter(self.non_field_errors()), ""))

    def shown(self) -> list[ReadLine]:
        """The lines for the page that comes back: read anew where the words were changed after they were read."""
        return read_back(self.words, self.unit, self.data) if self.problem == CHANGED else self.lines


def keep(*, by: Person, batch: Batch, lines: list[ReadLine]) -> list[Line]:
    """Log every line, in the caller's transaction: a new family only once, and only where none was chosen."""
    made: list[Family] = []
    logged = []
    for line in lines:
        family = choose_family(by=by, form=line.form, made=made)
        logged.append(log_line(by=by, batch=batch, family=family, stated=line.form.family(), **line.form.line()))
    return logged
