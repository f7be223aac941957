"""Shops made by chance, taken from the inspection to the release; and what their papers may say by the record alone."""

import math
import random
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import fields, is_dataclass
from typing import Any

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.models import FinalCheck, Inspection, Plan, Reading
from regrind.bench.revisions import newest
from regrind.geometry.errors import Refused
from regrind.geometry.relief import Way, aim_drop
from regrind.geometry.units import Typed
from regrind.paper import values
from regrind.record.line_dimensions import DIMENSIONS, PROPERTIES, write_values
from regrind.record.models import Line, Piece
from regrind.shop.events import Refusal
from tests.bench.test_recorded_figures import Chance, decide_all, length, pieces_of

SEEDS = range(20)
INCH_NM = 25_400_000
TOKEN = re.compile(r"(?<![\d/])([−+-]?)(\d{0,3}(?:[ ,]\d{3})*(?:[.,]\d+)?)[\u202f\u00a0 ]?(in|mm)\b")


class Shop(Chance):
    """One box of worn pieces: inspected, planned, ground, checked with readings near and far from the limits."""

    def __init__(self, seed: int, make_batch, by) -> None:
        super().__init__(seed)
        self.by, self.chance = by, random.Random(-seed)
        self.line: Line = make_batch(6, of=self.family(), owner=self.customer()).lines.get()
        self.state_some()
        for piece in pieces_of(self.line):
            self.inspect(piece, by)
        decide_all(self, self.line, by)

    def state_some(self) -> None:
        """The line itself states its size and some of the rest; in one shop of three its family was chosen whole."""
        if self.chance.random() < 0.33:
            return
        family = self.line.family
        known = {name: value for name in PROPERTIES if (value := getattr(family, name)) not in (None, "", 0)}
        stated = {name: value for name, value in known.items() if name == "nominal_nm" or self.chance.random() < 0.5}
        limit = self.chance.choice([None, 5_000, 20_000])
        Line.objects.filter(pk=self.line.pk).update(stated=write_values(stated), runout_limit_nm=limit)
        self.line = Line.objects.select_related("family", "batch__customer").get(pk=self.line.pk)

    def work(self) -> None:
        """Each piece that is to be ground, by itself or with the next of its plan; what a rule refuses stays where it
        is."""
        ready = pieces_of(self.line, "ready_to_grind")
        plans = newest(Plan, ready)
        alike: dict[int, list[Piece]] = {}
        for piece in ready:
            alike.setdefault(plans[piece.pk].copied_from_id or plans[piece.pk].pk, []).append(piece)
        for pieces in alike.values():
            plan = plans[pieces[0].pk]
            planned = plan.grinds.split() or ["end"]
            parts = planned if self.chance.random() < 0.8 else planned[-1:]
            with suppress(Refusal):
                grind(by=self.by, pieces=pieces, expected={}, grinds=parts)
                self.check([piece for piece in pieces_of(self.line, "ground") if piece in pieces], plan)

    def check(self, pieces: list[Piece], plan: Plan) -> None:
        """Read the first, and some of the others; give a reason in some cases."""
        nominal = self.line.family.nominal_nm / 1e6
        aimed = (plan.diameter_nm or self.line.family.nominal_nm) / 1e6
        noise = self.chance.choice([0, 0.001, 0.004, 0.02])
        diameters = {piece.pk: length(aimed + self.chance.uniform(-noise, noise)) for piece in pieces}
        typed = {"diameter": diameters.pop(pieces[0].pk)}
        typed |= {"runout_sides": length(self.chance.uniform(0, 0.04))} if self.chance.random() < 0.5 else {}
        typed |= {"usable": length(nominal * self.chance.uniform(1, 2))} if self.chance.random() < 0.5 else {}
        typed |= {"overall": length(nominal * 8)} if self.chance.random() < 0.3 else {}
        drop, way = self.drop(typed["diameter"])
        check(
            by=self.by,
            pieces=pieces,
            expected={},
            typed=typed | drop,
            diameters=diameters if self.chance.random() < 0.7 else {},
            drop_way=way if drop else "",
            corner=self.chance.choice(["sharp", "broken"]),
            coating="ground off on the flank",
            released_because=self.chance.choice(["", "the customer takes it"]),
        )

    def drop(self, diameter: Typed) -> tuple[dict[str, Typed], str]:
        """A drop by some way, for a relief about what is usual; none in some cases, and where none fits."""
        way, over = self.chance.choice(list(Way)), diameter.mm * 0.04
        if self.chance.random() < 0.25:
            return {}, ""
        try:
            relief = math.radians(self.chance.uniform(6, 16))
            aim = aim_drop(relief, math.radians(1), over, way, diameter.mm / 2)
        except Refused:
            return {}, ""
        return {"drop": length(aim.drop_mm), "drop_over": length(over)}, way.value


def each_value(paper: Any) -> Iterator[Any]:
    """Every length, angle and text of a paper's values, however deep."""
    if isinstance(paper, values.Length | values.Angle | str):
        yield paper
    elif is_dataclass(paper):
        for one in fields(paper):
            yield from each_value(getattr(paper, one.name))
    elif isinstance(paper, tuple | list):
        for one in paper:
            yield from each_value(one)


def lengths_in(text: str) -> Iterator[tuple[int, int]]:
    """(nm, half of the last printed digit in nm, plus one) of every length that a text names."""
    for _, digits, unit in TOKEN.findall(text):
        plain = digits.replace(" ", "").replace(",", ".")
        if any(sign.isdigit() for sign in plain):
            unit_nm = INCH_NM if unit == "in" else 1_000_000
            places = len(plain.partition(".")[2])
            yield round(float(plain) * unit_nm), round(unit_nm / 10**places / 2) + 1


def recorded_lengths(line: Line) -> set[int]:
    """What a paper that goes out may print of a line: what was read, planned, agreed, and the differences of these."""
    pieces = pieces_of(line)
    plans = list(newest(Plan, pieces).values())
    read = {row.nm for row in Reading.objects.all() if row.nm is not None}
    planned = {nm for plan in plans for nm in (plan.diameter_nm, plan.cut_back_nm, plan.usable_nm) if nm}
    agreed = {nm for nm in (line.smallest_diameter_nm(), line.shortest_usable_nm(), line.tolerance_nm) if nm}
    nominal, diameters = line.family.nominal_nm, {row.nm for row in Reading.objects.filter(quantity="diameter")}
    off = {nm - nominal for nm in diameters} | {nm - other for nm in diameters for other in diameters}
    halves = {nm // 2 for nm in diameters} | {nm // 2 for nm in off} | {-nm // 2 for nm in off}
    tool = {getattr(line.family, name) or 0 for name in DIMENSIONS if name.endswith("_nm")}
    return read | planned | agreed | {nominal} | off | halves | tool


def rows_of(line: Line) -> tuple[dict[int, FinalCheck], dict[int, Inspection], dict[int, Plan]]:
    """The newest check, inspection and plan of each piece, by its id."""
    pieces = pieces_of(line)
    return newest(FinalCheck, pieces), newest(Inspection, pieces), newest(Plan, pieces)
