"""A tray of tools taken as far as a test needs, and a browser without JavaScript at the bench."""

import re
from collections.abc import Sequence

from django.test import Client

from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import Grind, Inspection, Plan
from regrind.bench.planning.actions import GOES_TO, Part, decide, store_plans
from regrind.bench.planning.decision import Decision
from regrind.bench.planning.groups import Group
from regrind.bench.revisions import add_revisions, newest
from regrind.geometry.case import read
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.geometry.units import parse
from regrind.record.models import Line, Piece
from regrind.record.moves import move
from regrind.shop.events import event
from regrind.shop.models import Person

INCH = 25_400_000
CASE = {
    "tool": {
        "kind": "end mill",
        "teeth": 3,
        "material": "carbide",
        "nominal_diameter": "1/4 in",
        "helix_deg": 30,
        "core_diameter": "0.150 in",
        "rake_deg": 8,
        "primary_relief_deg": 12,
        "secondary_relief_deg": 24,
        "primary_land": "0.010 in",
        "flute_length": "0.750 in",
    },
    "measured": {"diameter": "0.2498 in", "method": "v-anvil", "tooth_readings": ["0 in", "-2 tenths", "-4 tenths"]},
    "damage": [
        {"tooth": 2, "from": "0 in", "to": "0.060 in", "depth": "4 thou"},
        {"tooth": 1, "from": "0 in", "to": "0.300 in", "wear_land": "6 thou"},
        {"end_depth": "0.010 in"},
    ],
    "allow": {"finish_radial": "5 tenths", "finish_end": "2 thou", "stylus_distance": "0.060 in"},
    "limits": {"usable_length": "0.500 in"},
}


def pieces_of(line: Line, where: str = "") -> list[Piece]:
    found = line.pieces.select_related("batch__customer", "line__family", "line__batch__customer", "tool")
    return list(found.filter(status=where) if where else found)


def ready_to_grind(
    line: Line,
    by: Person,
    *,
    option: int = 0,
    grinds: str = "",
    diameter_nm: int | None = None,
    pieces: Sequence[Piece] | None = None,
    typed: dict | None = None,
    **read,
) -> list[Piece]:
    """Inspected and planned: end mills with the worked example, other kinds plainly."""
    mine = list(pieces or pieces_of(line, "arrived"))
    computed = line.family.kind_data.computed
    lengths = {"diameter": parse("0.2498 in")} | (typed or {})
    inspect(by=by, pieces=mine, expected={}, typed=lengths, damage="nothing", **read)
    if computed:
        plan_by_example(mine, by, chosen=option, grinds=grinds, diameter_nm=diameter_nm)
    else:
        decide(
            by=by,
            pieces=mine,
            expected={},
            decision="grind",
            grinds=grinds or line.family.kind_data.grinds[0],
            diameter_nm=diameter_nm,
        )
    return mine


def plan_by_example(
    pieces: Sequence[Piece],
    by: Person,
    *,
    case: dict | None = None,
    chosen: int | None = 0,
    expected: dict[int, int] | None = None,
    decision: str = "grind",
    **more,
) -> None:
    """Planned as if the record led to this case, and moved on; the worked example where none is given."""
    own = newest(Inspection, pieces)
    given = CASE if case is None else case
    root = next(iter(own.values()), Inspection())
    group = Group(root, list(pieces), case=given, answer=as_dict(work_out(read(given)))) if given else None
    with event(by, "planned") as planning:
        store_plans(planning, Part(pieces, group, chosen), Decision(decision, **more), expected or {}, own)
        move(pieces=pieces, to=GOES_TO[decision], by=by)


def ground(line: Line, by: Person, *, parts: str = "sides end", **more) -> list[Piece]:
    """Ground, with a grind row that follows the newest plan."""
    mine = ready_to_grind(line, by, **more) if pieces_of(line, "arrived") else pieces_of(line, "ready_to_grind")
    plans = newest(Plan, mine)
    with event(by, "ground") as grinding:
        add_revisions(
            [Grind(event=grinding, piece=p, revision=1, plan=plans[p.pk], setup="s", grinds=parts) for p in mine]
        )
        move(pieces=mine, to="ground", by=by)
    return mine


class Hand:
    """A bench hand's browser: opens a page, keeps what it offers, changes some fields, sends it."""

    def __init__(self, client: Client) -> None:
        self.client = client

    def open(self, where: str, **query):
        return self.client.get(where, query)

    def fill(self, where: str, form: str = "form", **fields) -> dict:
        """What a browser would send of the page's form, with `fields` changed; None leaves a field out."""
        page = self.client.get(where)
        sent: dict = {}
        for bound in page.context[form]:
            value = bound.value()
            if value not in (None, "", False, []):
                sent[bound.html_name] = "on" if value is True else value
        key = re.search(r'name="once" value="([^"]+)"', page.content.decode())
        sent |= {"once": key[1] if key else "none"} | fields
        return {name: value for name, value in sent.items() if value is not None}

    def send(self, where: str, form: str = "form", **fields):
        return self.client.post(where, self.fill(where, form, **fields))


def send_undo(hand, page):
    """What the Undo button of a page sends."""
    form = re.search(r'<form class="undo notice".*?</form>', page.content.decode(), re.S)[0]
    sent: dict[str, list[str]] = {}
    for name, value in re.findall(r'name="(\w+)" value="([^"]*)"', form):
        sent.setdefault(name, []).append(value)
    return hand.client.post(re.search(r'action="([^"]+)"', form)[1], sent)
