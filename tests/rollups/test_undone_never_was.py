"""Whatever is undone, in whatever order: afterwards the shop is one in which the undone events never were.

A run of events and undos is made under a seed; then the same shop once more, without the undone events and the undos.
Sums, pieces, pages and papers must be the same: what the history tells, revision numbers and primary keys apart. Not
tried: recounts, since a piece that something undone was written about cannot be struck as never there.
"""

import random
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import pytest
import time_machine
from django.db import connection, transaction
from django.test import Client
from django.utils import timezone

from regrind.office.models import Parcel
from regrind.office.papers.drafts import draft
from regrind.record.models import Batch, Family, FamilyMonth, Line, Piece
from regrind.record.rollup_rebuild import differences
from regrind.shop.event_kinds import KINDS
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import Event
from regrind.shop.undo import undo
from tests.long_form import FULL

from .shop_maker import Shop

pytestmark = pytest.mark.django_db
SEQUENCES, WITH_PAGES = (240, 16) if FULL else (48, 4)
# Tests of a few sequences each, so that workers share them; unless in full, each database takes other parts.
PARTS = range(4) if FULL else range(3, 4) if connection.vendor == "postgresql" else range(0, 4, 2)
EVENTS = 24
UNDO = "undo"


@dataclass(frozen=True)
class Step:
    """One thing that happens: the name of a Shop's action, or `undo`, under a seed of its own."""

    name: str
    seed: int


def make_steps(seed: int) -> list[Step]:
    chance = random.Random(seed)
    names = {
        "box": 1,
        "line": 2,
        "look": 7,
        "plan": 6,
        "grind": 6,
        "check": 5,
        "send": 3,
        "price": 2,
        "complain": 2,
        "withdraw": 1,
        "miss": 1,
        "find": 1,
        "split": 1,
        "marks": 1,
        "date": 1,
        "end": 2,
        "rates": 2,
        UNDO: 11,
    }
    drawn = chance.choices(list(names), list(names.values()), k=EVENTS)
    return [Step(name, chance.getrandbits(32)) for name in ("box", "line", "line", "look", *drawn)]


@contextmanager
def rolled_back() -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


class Scripted(Shop):
    """A shop that writes down which rows each step picks, and picks the same ones when the step is played again."""

    def begin(self, step: Step, picked: list[list[str]] | None = None) -> None:
        self.chance, self.picking = random.Random(step.seed), random.Random(step.seed + 1)
        self.second_thoughts.random = lambda: 1.0  # type: ignore[method-assign]  # an undo is a step of its own
        self.script = None if picked is None else iter(picked)
        self.picked: list[list[str]] = []

    def pick(self, rows):
        return self._choose(list(rows.order_by("pk")), lambda found: [self.picking.choice(found)])[0]

    def some(self, *where: str) -> list[Piece]:
        """Played again, the pieces of then, wherever they are now: one may have been moved on by what was undone later,
        and whether a step may be taken from there is for the program to say."""
        there = Piece.objects.filter(status__in=where) if self.script is None else Piece.objects.all()
        line = self.pick(Line.objects.filter(pieces__in=there).distinct())
        pieces = list(
            there.filter(line=line).select_related("batch__customer", "line__family", "line__batch__customer", "tool")
        )
        return self._choose(pieces, lambda found: found[: self.picking.randint(1, len(found))])

    def _choose(self, found: list, choose) -> list:
        if not found:
            raise Refusal("There is none.")
        if self.script is None:
            chosen = choose(found)
        else:
            names = next(self.script)
            chosen = [row for row in found if name_of(row) in names]
            assert len(chosen) == len(names), f"{names} are not there without what was undone"
        self.picked.append([name_of(row) for row in chosen])
        return chosen


def name_of(row) -> str:
    """What a row is called, whatever its primary key."""
    return f"{type(row).__name__} {row.pk if isinstance(row, Event) else row}"


def play(shop: Scripted, steps: list[Step]) -> dict[int, list[list[str]]]:
    """Let the steps happen; returns the numbers of those that did and still stand, with the rows they picked."""
    actions = {action.__name__: action for action, _ in shop.events}
    step_of: dict[int, int] = {}
    done: dict[int, list[list[str]]] = {}
    for number, step in enumerate(steps):
        before = Event.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
        shop.begin(step)
        try:
            if step.name == UNDO:
                done.pop(step_of[undo_one(shop)])
            else:
                actions[step.name]()
        except (Refusal, Conflict):
            continue
        if made := set(Event.objects.filter(pk__gt=before, undoes=None).values_list("pk", flat=True)):
            step_of |= dict.fromkeys(made, number)
            done[number] = shop.picked
    return done


def play_again(shop: Scripted, steps: list[Step], done: dict[int, list[list[str]]]) -> None:
    """Let what was done and not undone happen alone: nothing of it may be refused now."""
    actions = {action.__name__: action for action, _ in shop.events}
    for number, picked in done.items():
        shop.begin(steps[number], picked)
        actions[steps[number].name]()


def undo_one(shop: Scripted) -> int:
    """Undo an event that can be; Refusal where something stands on it. Returns its primary key."""
    kinds = [kind for kind, words in KINDS.items() if words.undo != "never"]
    done = shop.pick(Event.objects.filter(kind__in=kinds, undone_by=None))
    undo(by=shop.by, done=done, why="on second thoughts")
    return done.pk


def figures() -> dict[str, object]:
    """The sums of every cell that has any, and where and what every piece is."""
    cells = {}
    for row in FamilyMonth.objects.all():
        values = {
            field.attname: getattr(row, field.attname)
            for field in row._meta.concrete_fields
            if field.attname not in ("id", "family_id", "customer_id", "month")
        }
        tallies = sorted((t.what, t.key, t.n, t.good, t.total, t.squares) for t in row.tallies.all())
        if any(values.values()) or tallies:
            cells[row.family_id, row.customer_id, row.month] = (values, tallies)
    pieces = [
        (
            str(piece),
            str(piece.line),
            piece.status,
            piece.result,
            piece.reason,
            piece.complaint,
            str(piece.complaint_of),
            piece.before_here,
        )
        for piece in Piece.objects.select_related("batch", "line__batch")
    ]
    lines = list(Line.objects.order_by("batch__number", "number").values_list("unit_price_minor", "price_since"))
    return {
        "cells": cells,
        "wrong sums": list(differences()),
        "pieces": sorted(pieces),
        "lines": lines,
        "closed": sorted(Batch.objects.values_list("number", "closed")),
    }


# What is of one page alone: keys, what it saw, addresses of rows.
OWN = re.compile(
    r'"X-CSRFToken": "\w+"|(name="(once|seen|stood|csrfmiddlewaretoken|stamp|next)" value=")[^"]*"|'
    r'/event/\d+/|value="\d+"|'
    r'(group|for|id|aria-describedby|name|data-\w+)="?=?[^" &>]*\d+[^" &>]*"?|(piece|group)=\d+|\d+ of \d+ revisions?'
)


def pages_and_papers(client: Client) -> dict[str, str]:
    shown = {}
    lines = [str(line) for line in Line.objects.select_related("batch").order_by("batch__number", "number")]
    boxes = [str(batch) for batch in Batch.objects.order_by("number")]
    where = [
        "/",
        "/bench/",
        "/bench/setups",
        "/bench/at-coater",
        "/office/",
        "/review/",
        "/review/customers",
        *(f"/bench/{line}/{page}" for line in lines for page in ("", "inspect", "plan", "grind", "check", "checked")),
        *(f"/office/{box}/{page}" for box in boxes for page in ("prices", "parcel")),
        *(f"/review/{pk}" for pk in Family.objects.values_list("pk", flat=True)),
    ]
    for address in where:
        shown[address] = OWN.sub("", client.get(address, follow=True).content.decode())
    numbers = [("job_sheet", box) for box in boxes] + [("report", box) for box in boxes]
    numbers += [(kind, line) for kind in ("label", "tag") for line in lines]
    numbers += [("slip", str(parcel)) for parcel in Parcel.objects.select_related("batch")]
    for kind, number in numbers:
        try:
            shown[f"{kind} {number}"] = draft(kind, number).snapshot
        except Refusal as refusal:
            shown[f"{kind} {number}"] = str(refusal)
    return shown


@pytest.fixture
def compare(owner, client, settings, tmp_path):
    """compare(seed, pages=False) -> how many events were undone in that sequence; fails where the two shops differ."""
    settings.PAPERS = tmp_path
    client.force_login(owner)

    def run(seed: int, *, pages: bool = False) -> int:
        steps = make_steps(seed)
        with rolled_back():
            shop = Scripted(seed, owner)
            with rolled_back():
                done = play(shop, steps)
                undone = Event.objects.filter(kind="undone").count()
                after = figures() | (pages_and_papers(client) if pages else {})
            with rolled_back():
                play_again(shop, steps, done)
                never = figures() | (pages_and_papers(client) if pages else {})
        assert after.keys() == never.keys(), seed
        assert after["wrong sums"] == [], seed
        for name, value in never.items():
            assert after[name] == value, f"seed {seed}: {name}"
        return undone

    with time_machine.travel(timezone.now(), tick=False):
        yield run


@pytest.mark.parametrize("part", PARTS)
def test_the_sums_and_pieces_are_those_of_a_shop_in_which_the_undone_never_was(compare, part):
    seeds = range(part, SEQUENCES, 4)
    undone = sum(compare(seed) for seed in seeds)
    assert undone > len(seeds)  # else this would prove less than it says


@pytest.mark.parametrize("part", PARTS)
def test_every_page_and_paper_says_so_too(compare, part):
    seeds = range(1_000_000 + part, 1_000_000 + WITH_PAGES, 4)
    undone = sum(compare(seed, pages=True) for seed in seeds)
    assert undone >= len(seeds)
