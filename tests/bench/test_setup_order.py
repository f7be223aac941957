"""The order of setups: against first come, first served and against the best order, found by trying every one."""

import random
from datetime import date, timedelta
from itertools import pairwise, permutations

import pytest

from regrind.bench.setups.order import (
    LATER,
    RUSH,
    URGENCIES,
    WEIGHTS,
    Job,
    Setup,
    count,
    find_band,
    find_urgency,
    first_come,
    make_trays,
    order,
    weigh,
    what_changes,
)

TODAY = date(2026, 5, 4)
QUEUES, MOST_TRAYS = 50, 7


def setup(**told) -> Setup:
    return Setup(
        **{
            "holding": "6 mm",
            "wheel": "D64",
            "work": "sides end",
            "relief_deg": 12,
            "hand": "right, right",
            "band": "3.175 to 6.35",
        }
        | told
    )


def make_setup(chance: random.Random) -> Setup:
    return Setup(
        chance.choice(["6 mm", "10 mm", "1/2 in"]),
        chance.choice(["D64", "D46", "B64"]),
        chance.choice(["sides end", "end", "point"]),
        chance.choice([9, 12, None]),
        chance.choice(["right, right", "right, right", "left, left"]),
        chance.choice(["3 to 6", "6 to 10"]),
    )


def make_queue(chance: random.Random, most_trays: int) -> list[Job]:
    """Jobs of at most so many trays, mixed as boxes come: some rush, some late, some without a date."""
    kinds = [make_setup(chance) for _ in range(chance.randint(2, 5))]
    jobs: list[Job] = []
    for came in range(1, 41):
        due = chance.choice([None, TODAY + timedelta(days=chance.randint(-3, 15))])
        job = Job(
            f"{came}",
            chance.choice(kinds),
            chance.randint(1, 20),
            came,
            chance.random() < 0.1,
            due,
            chance.randint(3, 10) * 1_000_000,
            chance.randint(10, 14) * 1_000_000,
        )
        if len(make_trays([*jobs, job], TODAY)) <= most_trays:
            jobs.append(job)
    return jobs


def try_every_order(trays, standing, keeps_classes: bool) -> int:
    """The least weight of all orders, by trying every one; what each change weighs is looked up only once."""
    first = [weigh(standing, tray.setup) for tray in trays]
    changes = [[weigh(before.setup, after.setup) for after in trays] for before in trays]
    ways = (
        way
        for way in permutations(range(len(trays)))
        if not keeps_classes or all(trays[a].urgency <= trays[b].urgency for a, b in pairwise(way))
    )
    return min(first[way[0]] + sum(changes[a][b] for a, b in pairwise(way)) for way in ways)


def test_on_fifty_generated_queues_no_order_of_the_classes_is_lighter_and_first_come_is_heavier():
    chance = random.Random(417)
    changes = {"first come": 0, "rule": 0}
    weights = {"first come": 0, "nearest alone": 0, "rule": 0, "best in its classes": 0, "best of all": 0}
    lighter = 0
    for _ in range(QUEUES):
        jobs, standing = make_queue(chance, MOST_TRAYS), chance.choice([None, make_setup(chance)])
        trays = make_trays(jobs, TODAY)
        came, ruled = count(first_come(jobs), standing), count([t.setup for t in order(trays, standing)], standing)
        nearest = count([t.setup for t in order(trays, standing, exact_up_to=0)], standing)
        best = try_every_order(trays, standing, keeps_classes=True)
        assert ruled.weight == best
        assert nearest.weight >= best
        assert ruled.changes <= came.changes
        lighter += ruled.weight < came.weight
        for name, value in zip(
            weights,
            (came.weight, nearest.weight, ruled.weight, best, try_every_order(trays, standing, keeps_classes=False)),
            strict=True,
        ):
            weights[name] += value
        changes["first come"] += came.changes
        changes["rule"] += ruled.changes
    print(f"\n{QUEUES} queues: change-overs {changes}, weights {weights}, lighter than first come in {lighter}")
    assert weights["rule"] < 0.5 * weights["first come"]
    assert weights["best of all"] <= weights["rule"]
    assert lighter == QUEUES


def test_long_queues_take_the_nearest_and_still_beat_first_come():
    chance, came, ruled = random.Random(9), 0, 0
    for _ in range(20):
        jobs = [Job(f"{n}", make_setup(chance), 1, n) for n in range(1, 60)]
        trays = make_trays(jobs, TODAY)
        assert len(trays) > 9
        went = order(trays)
        assert sorted(map(id, went)) == sorted(map(id, trays))
        came += count(first_come(jobs)).weight
        ruled += count([tray.setup for tray in went]).weight
    print(f"\n20 long queues: weight {ruled} instead of {came}")
    assert ruled < 0.6 * came


def test_a_rush_goes_before_all_else_whatever_it_costs():
    standing = setup()
    jobs = [Job("calm", standing, 12, 1), Job("rush", setup(wheel="B64", holding="10 mm", work="end"), 1, 2, rush=True)]
    trays = order(make_trays(jobs, TODAY), standing)
    assert [(tray.urgency, tray.jobs[0].name) for tray in trays] == [(RUSH, "rush"), (LATER, "calm")]


def test_the_last_tray_of_one_urgency_is_chosen_so_that_the_next_urgency_starts_with_it():
    jobs = [Job("a", setup(), 1, 1, rush=True), Job("b", setup(wheel="B64"), 1, 2, rush=True), Job("c", setup(), 1, 3)]
    assert [tray.jobs[0].name for tray in order(make_trays(jobs, TODAY))] == ["b", "a", "c"]


def test_of_orders_that_weigh_the_same_the_one_due_first_goes_first():
    jobs = [
        Job("fifth", setup(holding="a"), 1, 1, due=TODAY + timedelta(days=5)),
        Job("third", setup(holding="b"), 1, 2, due=TODAY + timedelta(days=3)),
    ]
    assert [tray.jobs[0].name for tray in order(make_trays(jobs, TODAY))] == ["third", "fifth"]


def test_in_a_tray_like_sizes_lie_together_so_that_the_stop_moves_least():
    sizes = [(6_000_000, 12), (5_900_000, 13), (6_000_000, 11), (5_900_000, 13)]
    jobs = [Job(f"{n}", setup(), 1, n, diameter_nm=size, stop_nm=stop) for n, (size, stop) in enumerate(sizes)]
    [tray] = make_trays(jobs, TODAY)
    assert [job.name for job in tray.jobs] == ["1", "3", "2", "0"]
    assert tray.pieces == 4


@pytest.mark.parametrize(
    ("rush", "days", "urgency"),
    [
        (True, 30, "rush"),
        (False, -1, "late"),
        (False, 0, "due by tomorrow"),
        (False, 1, "due by tomorrow"),
        (False, 2, "due within a week"),
        (False, 7, "due within a week"),
        (False, 8, "later"),
        (False, None, "later"),
    ],
)
def test_urgency_goes_by_rush_and_by_the_days_that_are_left(rush, days, urgency):
    due = None if days is None else TODAY + timedelta(days=days)
    assert URGENCIES[find_urgency(rush, due, TODAY)] == urgency


def test_weights_make_a_distance():
    chance = random.Random(2)
    for _ in range(300):
        a, b, c = (make_setup(chance) for _ in range(3))
        assert weigh(a, a) == 0
        assert weigh(a, b) == weigh(b, a)
        assert weigh(a, c) <= weigh(a, b) + weigh(b, c)
    assert what_changes(None, setup()) == ()
    assert what_changes(setup(), setup(relief_deg=9, wheel="B64")) == ("wheel", "relief_deg")
    assert weigh(setup(), setup(relief_deg=9, wheel="B64")) == WEIGHTS["wheel"] + WEIGHTS["relief_deg"]


def test_nothing_waiting_is_an_empty_order():
    assert order([]) == []
    assert find_band(None) == ""
