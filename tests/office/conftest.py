"""What the office's tests may ask for: lines taken through the bench by its own actions, and a desk without
JavaScript."""

import io
import re

import pytest
from pypdf import PdfReader

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import Plan
from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces
from regrind.geometry.units import parse
from regrind.record.models import Customer, Family, Line, Piece

SPACES = re.compile("[ \u00a0\u202f\n]+")


def words(pdf: bytes) -> str:
    """All that a paper says, read by a library that did not write it; any space is one plain space."""
    return SPACES.sub(" ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))


def pieces_of(line: Line) -> list[Piece]:
    return list(line.pieces.select_related("batch__customer", "line__family", "line__batch__customer", "tool"))


@pytest.fixture(autouse=True)
def papers_folder(settings, tmp_path):
    settings.PAPERS = tmp_path / "papers"
    return settings.PAPERS


@pytest.fixture
def metric(db) -> tuple[Customer, Family]:
    """A millimetre customer and an 8 mm end mill."""
    customer = Customer.objects.create(name="Šumava Tooling", unit="mm", under_nm=500_000)
    family = Family.objects.create(
        kind="radius", nominal_nm=8_000_000, teeth=4, material="carbide", coating="AlCrN", corner_radius_nm=500_000
    )
    return customer, family


@pytest.fixture
def look(bench_hand, gauges):
    """look(pieces, "0.2498 in") -> inspected, the first one measured."""

    def act(pieces, diameter="0.2498 in", **more):
        return inspect(
            by=bench_hand,
            pieces=pieces,
            expected=more.pop("expected", {}),
            damage="depth",
            method="v-anvil",
            typed={
                "diameter": parse(diameter),
                "damage_depth": parse("0.003 in"),
                "reach": parse("0.1 in"),
                **more.pop("typed", {}),
            },
            gauge=gauges["v-anvil"],
            indicator=gauges["indicator"],
            **more,
        )

    return act


@pytest.fixture
def finish(look, bench_hand, gauges, wheel, holding):
    """finish(line, "0.2498 in", "0.2405 in") -> its pieces inspected, planned, ground, checked and released."""

    def act(
        line,
        before="0.2498 in",
        after="0.2405 in",
        pieces=None,
        corner="sharp",
        corner_size=None,
        drop_way="tangent",
        planned="",
        **more,
    ):
        pieces = pieces_of(line) if pieces is None else pieces
        look(pieces, before)
        decide(
            by=bench_hand,
            pieces=pieces,
            expected={},
            decision="grind",
            diameter_nm=parse(planned or after).nm,
            cut_back_nm=508_000,
            usable_nm=17_000_000,
            grinds="sides end",
        )
        grind(by=bench_hand, pieces=pieces, expected={}, grinds=["sides", "end"], wheel=wheel, holding=holding)
        size = {"corner_size": corner_size} if corner_size else {}
        check(
            by=bench_hand,
            pieces=pieces,
            expected={},
            corner=corner,
            drop_way=drop_way,
            typed=size
            | {
                "diameter": parse(after),
                "drop": parse("0.0025 in"),
                "drop_over": parse("0.020 in"),
                "runout_sides": parse("0.0003 in"),
                "overall": parse("2.486 in"),
                "usable": parse("0.678 in"),
            },
            gauge=gauges["v-anvil"],
            indicator=gauges["indicator"],
            **more,
        )
        return pieces_of(line)

    return act


class Desk:
    """A browser without JavaScript: every form is posted with the once-only key of the page it stands on."""

    def __init__(self, client) -> None:
        self.client = client

    def get(self, where: str, **query):
        return self.client.get(where, query)

    def post(self, where: str, page: str, **fields):
        key = re.search(r'name="once" value="([^"]+)"', self.client.get(page).content.decode())
        return self.client.post(where, {"once": key[1] if key else "", **fields})

    def press(self, kind: str, number: str, **fields):
        """Print from the papers page, and the file it leads to."""
        page = f"/office/{number.split('-')[0].split('_')[0]}/papers"
        return self.post(f"/office/print/{kind}/{number}", page, **fields)


@pytest.fixture
def desk(client, front_desk) -> Desk:
    client.force_login(front_desk)
    return Desk(client)


@pytest.fixture
def worked(look, bench_hand):
    """worked(line) -> its pieces inspected and planned as worked out, the recommended option kept."""

    def act(line, **more):
        pieces = pieces_of(line)
        look(pieces, "0.2498 in", typed={"flute_length": parse("0.75 in"), **more})
        [group] = group_pieces(line, pieces)
        decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", chosen=group.answer["recommended"])
        return Plan.objects.filter(piece__line=line, copied_from=None).get(), group.answer

    return act
