"""Over shops made by chance: nothing is released or printed with a figure that the record does not give.

What the record gives is worked out here from the readings, the stored case and the pure module alone.
"""

import json
import math
from collections.abc import Iterator
from functools import partial

import pytest

from regrind.bench.models import FinalCheck, Plan
from regrind.geometry.case import read
from regrind.geometry.defaults import fill_shape
from regrind.geometry.drills import find_helix_at
from regrind.geometry.lag import hands_agree, set_stylus
from regrind.geometry.limits import judge
from regrind.geometry.plan import work_out, work_out_at
from regrind.geometry.relief import Way, aim_drop, read_relief
from regrind.geometry.result import Answer, as_dict
from regrind.geometry.runout import find_runout_limit
from regrind.geometry.units import to_nm
from regrind.office.issuing import draft
from regrind.paper import values
from regrind.record import rollups
from regrind.record.line_dimensions import tool_of
from regrind.shop.events import Refusal
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings
from tests.batches import new_batch
from tests.kept import kept

from .recorded_shop import SEEDS, Shop, each_value, lengths_in, recorded_lengths, rows_of

pytestmark = pytest.mark.django_db
DEGREE = 100  # hundredths


@pytest.fixture(scope="module", params=SEEDS)
def shop(request, django_db_setup, django_db_blocker) -> Iterator[Shop]:
    """The shop of a seed, made once for all tests of this module."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rollups, "_recount", lambda touched: None)
        yield from kept(django_db_blocker, lambda: make_shop(request.param))


def make_shop(seed: int) -> Shop:
    bench, desk = (Person.objects.create_user(name, "a long password", bench=True) for name in ("Ada", "Ida"))
    made = Shop(seed, partial(new_batch, by=desk), bench)
    made.work()
    return made


def relief_of(row: FinalCheck) -> int | None:
    """By the pure module, from the drop that stands recorded."""
    if row.drop_nm is None or row.drop_over_nm is None or row.diameter_nm is None:
        return None
    reading = read_relief(row.drop_nm / 1e6, row.drop_over_nm / 1e6, Way(row.drop_way), row.diameter_nm / 2e6)
    return round(math.degrees(reading.relief_rad) * DEGREE)


def target_of(plan: Plan) -> int | None:
    """The relief that the plan's case has, or the pure module's default for it."""
    root = plan.copied_from or plan
    if not root.case or "sides" not in plan.grinds:
        return None
    return round(math.degrees(fill_shape(read(json.loads(root.case)).tool).flank.primary_rad) * DEGREE)


def runout_limit(shop: Shop, diameter_nm: int) -> int | None:
    line = shop.line
    if line.most_runout_nm() is not None:
        return line.most_runout_nm()
    known = tool_of(line, with_assumed=False)
    published = find_runout_limit(diameter_nm / 1e6) if known.material == "carbide" else None
    return to_nm(published.most_mm) if published else None


def margins(shop: Shop, row: FinalCheck, plan: Plan, parts: set[str]) -> dict[str, float]:
    """How far inside each limit a check's readings are, by what was compared; no gauge was named."""
    line, nm = shop.line, row.diameter_nm
    found: dict[str, float] = {}
    if nm is not None and plan.diameter_nm:
        found["planned diameter"] = line.tolerance_nm - abs(nm - plan.diameter_nm)
    if nm is not None and line.smallest_diameter_nm():
        found["smallest diameter"] = nm - line.smallest_diameter_nm()
    if row.usable_nm is not None and line.shortest_usable_nm():
        found["shortest usable length"] = row.usable_nm - line.shortest_usable_nm()
    limit = runout_limit(shop, nm or line.family.nominal_nm)
    if row.runout_sides_nm is not None and limit is not None:
        found["runout on the sides"] = limit - row.runout_sides_nm
    relief, target = relief_of(row), target_of(plan) if "sides" in parts else None
    if relief is not None and target is not None:
        found["primary relief"] = DEGREE - abs(relief - target)
    return found


def test_what_is_released_holds_the_record_to_every_limit(shop):
    checks, _, plans = rows_of(shop.line)
    for pk, row in checks.items():
        parts = set(row.grind.grinds.split()) if row.grind else set()
        expected = {what: judge(margin, 0) for what, margin in margins(shop, row, plans[pk], parts).items()}
        told = {item["what"]: item["state"] for item in json.loads(row.findings) if item["state"]}
        assert {what: state for what, state in told.items() if what != "corner size"} == expected
        assert row.relief_cdeg == relief_of(row)
        outside = "outside" in expected.values()
        assert bool(row.released_because) is (row.passed and outside)
        if row.piece.status == "released" and outside:
            assert row.readings


def limits_of(line, checks):
    """The bounds that the report names beside a reading: those that were agreed and those that were compared with."""
    compared = [finding for row in checks for finding in json.loads(row.findings) if "nm" in finding]
    bounds = {finding[side] for finding in compared for side in ("least_nm", "most_nm")}
    return (bounds | {line.smallest_diameter_nm(), line.shortest_usable_nm(), line.most_runout_nm()}) - {None}


def test_papers_that_go_out_print_no_length_and_no_angle_that_is_not_recorded(shop):
    line, number = shop.line, shop.line.batch.number
    checks, _, _ = rows_of(line)
    if not any(row.passed for row in checks.values()):
        return
    allowed = recorded_lengths(line) | limits_of(line, checks.values())
    angles = {relief_of(row) for row in checks.values()}
    for kind, which in (("label", f"{number}-1"), ("report", str(number))):
        for value in each_value(draft(kind, which).values):
            if isinstance(value, values.Length):
                assert value.nm in allowed, (kind, value)
            elif isinstance(value, values.Angle):
                assert value.hundredths in angles, (kind, value)
            else:
                for nm, within in lengths_in(value):
                    assert any(abs(abs(nm) - abs(known)) <= within for known in allowed), (kind, value)


def option_of(plan: Plan) -> dict:
    """The chosen option worked out anew from the stored case."""
    root = plan.copied_from or plan
    case, answer = read(json.loads(root.case)), json.loads(root.answer)
    fresh = as_dict(work_out(case))["options"]
    if plan.chosen < len(fresh):
        return fresh[plan.chosen]
    taken = answer["options"][plan.chosen]
    there = work_out_at(case, round(taken["cut_back_mm"] * 1e6), round(taken["diameter_mm"] * 1e6))
    return as_dict(Answer((there,), 0, there.verdict, (), ()))["options"][0]


def set_by_record(plan: Plan) -> dict[str, float]:
    """The settings of the sides by the pure module: stylus, helix, relief; by the label of the card's figure."""
    case, option = read(json.loads((plan.copied_from or plan).case)), option_of(plan)
    shape, radius = fill_shape(case.tool), plan.diameter_nm / 2e6
    helix = find_helix_at(math.radians(option["helix_deg"]), 1.0)
    agree = hands_agree(case.tool.hand_of_cut or "right", case.tool.hand_of_helix or "right")
    distance = shop_settings().stylus_distance_nm / 1e6
    stylus = set_stylus(radius, shape.flank.primary_rad, helix, distance, agree=agree)
    return {
        "tip": abs(stylus.tip_below_mm),
        "helix": math.degrees(helix),
        "relief": math.degrees(shape.flank.primary_rad),
    }


def check_sides(card: values.SetupCard, part: values.SetupPart, plan: Plan) -> None:
    figures = {figure.label: figure for figure in part.figures}
    by_record = set_by_record(plan)
    assert figures["Grind to"].length.nm == plan.diameter_nm
    assert figures["Travel stop, from the end before it is ground"].length.nm == plan.usable_nm + (
        plan.cut_back_nm or 0
    )
    [tip] = [figure for label, figure in figures.items() if label.startswith("Stylus tip")]
    assert tip.length is None or abs(tip.length.nm / 1e6 - by_record["tip"]) < 1e-6
    for label, name in (("Helix at that diameter", "helix"), ("Primary relief", "relief")):
        assert abs(float(figures[label].text.removesuffix("°")) - by_record[name]) <= 0.0501
    for label, figure in figures.items():
        if label.startswith("Drop to aim for,") and figure.length:
            [(over, _)] = lengths_in(label)
            relief = math.radians(by_record["relief"])
            aim = aim_drop(relief, math.radians(1), over / 1e6, Way.TANGENT, plan.diameter_nm / 2e6)
            assert abs(figure.length.nm / 1e6 - aim.drop_mm) < 1e-3 * aim.drop_mm


def test_the_printed_setup_card_sets_what_the_pure_module_gives_for_the_stored_case(shop):
    _, _, plans = rows_of(shop.line)
    try:
        sheet = draft("setup_card", f"{shop.line.batch.number}-1").values
    except Refusal:
        assert not any(plan.decision == "grind" for plan in plans.values())
        return
    short = {plan.piece.short: plan for plan in plans.values()}
    for card in sheet.cards:
        plan = short[card.title.split(" · ")[0].split(",")[0].split(" to ")[0]]
        if not (plan.copied_from or plan).case:
            continue
        for part in card.parts:
            if part.title == "Sides":
                check_sides(card, part, plan)
            if part.title == "End":
                off = {figure.label: figure.length for figure in part.figures}["Off the end"]
                assert off is None or off.nm == plan.cut_back_nm


def test_the_job_sheet_prints_the_plans_own_figures(shop):
    _, _, plans = rows_of(shop.line)
    sheet = draft("job_sheet", str(shop.line.batch.number)).values
    planned = {plan.piece.short: plan for plan in plans.values()}
    rows = [row for setup in sheet.setups for line in setup.lines for row in line.pieces]
    assert rows
    for row in rows:
        first = row.number.split(",")[0].split(" to ")[0]
        plan = planned.get(first)
        if plan is None or row.diameter_after is None:
            continue
        assert row.diameter_after.nm == plan.diameter_nm
        assert (row.cut_back.nm if row.cut_back else None) == plan.cut_back_nm
        assert (row.usable_after.nm if row.usable_after else None) == plan.usable_nm
        if (plan.copied_from or plan).case and plan.chosen is not None:
            assert plan.diameter_nm == round(option_of(plan)["diameter_mm"] * 1e6)
