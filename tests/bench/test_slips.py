"""Slips of the pen, a lost zero or a moved point, are asked about before they are stored; honest readings are not."""

import json
import random
import re
from collections import Counter

import pytest

from regrind.bench.checking.plausibility import find_odd
from regrind.bench.models import FinalCheck, Inspection
from regrind.bench.plausible_ranges import find_plausible, find_plausible_overall
from regrind.geometry.units import parse, show_with_unit
from regrind.record.models import Tool

from .tray import INCH, ground

SLIPS, HONEST = 200, 1000
SIZES = [("in", size) for size in (INCH // 8, INCH * 3 // 16, INCH // 4, INCH * 3 // 8, INCH // 2)] + [
    ("mm", size * 1_000_000) for size in (3, 4, 6, 8, 10, 12)
]


def move_point(text: str, chance: random.Random) -> str:
    """One place to the left or to the right: .2498 becomes 2.498 or .02498."""
    figure, unit = re.fullmatch(r"([\d.]+)\s*(.*)", text).groups()
    whole, _, part = figure.partition(".")
    if chance.random() < 0.5:
        return f"{whole}{part[:1]}.{part[1:] or '0'} {unit}"
    return f"{whole[:-1] or ''}.{(whole[-1:] or '0')}{part} {unit}"


def lose_zero(text: str, chance: random.Random) -> str | None:
    """The zero between the point and the first figure that counts: .0040 becomes .040, and .0408 becomes .408."""
    return re.sub(r"\.0(\d*[1-9])", r".\1", text, count=1) if re.match(r"0?\.0", text) else None


def lose_inner_zero(text: str) -> str | None:
    """A zero within the figures: .2048 becomes .248, which is not out by ten."""
    return re.sub(r"([1-9]\.?)0(\d*[1-9])", r"\1\2", text, count=1) if re.search(r"[1-9]\.?0\d*[1-9]", text) else None


def wear(chance: random.Random) -> float:
    """A share of the diameter, of the size that the demo has: mostly slight to high, one in ten deep."""
    usual = [(0.0025, 0.004), (0.005, 0.008), (0.007, 0.012), (0.011, 0.02), (0.045, 0.06)]
    return chance.uniform(*chance.choices(usual, [9, 9, 9, 9, 4])[0])


def make_honest(chance: random.Random) -> dict:
    """A reading as the bench takes it, at the gauge's resolution, of a tool that was ground none to a few times.

    A diameter is read twice of every tool, as it came and when it is done; a depth and a length once.
    """
    unit, size = chance.choice(SIZES)
    what = chance.choice(["diameter", "diameter", "damage_depth", "overall"])
    depths = [round(size * wear(chance)) for _ in range(20)] if chance.random() < 0.7 else []
    last = round(size * chance.uniform(0.92, 0.99)) if chance.random() < 0.3 else None
    new = round(size * chance.uniform(8, 14))
    nm = {
        "diameter": last - round(chance.uniform(0, 0.002) * size) if last else round(size * chance.uniform(0.9, 1.0)),
        "damage_depth": round(size * wear(chance)),
        "overall": round(new * chance.uniform(0.75, 1.0)),
    }[what]
    return {
        "what": what,
        "size": size,
        "depths": depths,
        "last": last,
        "new": new,
        "text": show_with_unit(nm, unit).replace("\u202f", " "),
    }


def is_odd(told: dict, text: str) -> bool:
    nm = parse(text).nm
    low, high = (
        find_plausible_overall(told["new"])
        if told["what"] == "overall"
        else find_plausible(told["what"], told["size"], told["depths"], told["last"])
    )
    return not low <= nm <= high


def make_slips(chance: random.Random) -> list[tuple[str, bool]]:
    """(kind, whether it is asked about) of two hundred slips: half lost zeros where there is one, else moved points."""
    made: list[tuple[str, bool]] = []
    while len(made) < SLIPS:
        told = make_honest(chance)
        lost = lose_zero(told["text"], chance) if chance.random() < 0.5 else None
        slip = lost or move_point(told["text"], chance)
        if parse(slip).nm != parse(told["text"]).nm:
            made.append((f"{told['what']} {'lost zero' if lost else 'moved point'}", is_odd(told, slip)))
    return made


def test_nine_in_ten_of_two_hundred_slips_are_asked_about_and_honest_readings_are_left_alone():
    chance = random.Random(200)
    made = make_slips(chance)
    counts = {
        kind: f"{sum(odd for k, odd in made if k == kind)}/{sum(k == kind for k, _ in made)}"
        for kind in sorted({kind for kind, _ in made})
    }
    asked = sum(odd for _, odd in made)
    honest = [make_honest(chance) for _ in range(HONEST)]
    false = Counter(told["what"] for told in honest if is_odd(told, told["text"]))
    inner = [is_odd(told, slip) for told in honest if (slip := lose_inner_zero(told["text"]))]
    print(
        f"\nasked {asked} of {SLIPS}: {counts}; false alarms {false.total()} of {HONEST}: {dict(false)}; "
        f"inner zeros, not out by ten: {sum(inner)} of {len(inner)}"
    )
    assert asked >= 0.9 * SLIPS
    assert false.total() <= 0.02 * HONEST


pages = pytest.mark.django_db


@pages
def test_a_slip_is_asked_about_and_one_tap_keeps_it_with_a_word(at_bench, make_batch, inspect_typed):
    line = make_batch(1, number=417).lines.get()
    slip = inspect_typed | {"pieces": [line.pieces.get().pk], "damage_depth": ".04"}
    asked = at_bench.post("/bench/417-1/inspect", **slip)
    assert asked.status_code == 422
    assert "The values are right: save inspection" in asked.content.decode()
    assert not Inspection.objects.exists()
    assert at_bench.post("/bench/417-1/inspect", **slip, sure="on").status_code == 302
    assert json.loads(Inspection.objects.get().observations) == {"Right as typed": "Depth per side"}


@pages
def test_what_is_not_odd_says_nothing_of_having_been_confirmed(at_bench, make_batch, inspect_typed):
    line = make_batch(1, number=417).lines.get()
    at_bench.post("/bench/417-1/inspect", pieces=[line.pieces.get().pk], **inspect_typed, sure="on")
    assert json.loads(Inspection.objects.get().observations) == {}


@pages
def test_a_familys_own_depths_say_closer_what_is_usual(at_bench, make_batch, inspect_typed):
    for _ in range(8):
        line = make_batch(1).lines.get()
        at_bench.post(f"/bench/{line}/inspect", pieces=[line.pieces.get().pk], **inspect_typed)
    line = make_batch(1).lines.get()
    sent = inspect_typed | {"pieces": [line.pieces.get().pk], "damage_depth": ".009"}  # twice 4 thou, and more
    assert at_bench.post(f"/bench/{line}/inspect", **sent).status_code == 422
    assert at_bench.post(f"/bench/{line}/inspect", **sent | {"damage_depth": ".0079"}).status_code == 302


@pages
def test_a_followed_tool_comes_back_about_as_it_left(at_bench, make_batch, inspect_typed, customer, family):
    line = make_batch(1, number=417).lines.get()
    piece = line.pieces.get()
    left = INCH * 2408 // 10_000
    piece.tool = Tool.objects.create(tag="ABC12", customer=customer, family=family, last_diameter_nm=left)
    piece.save(update_fields=["tool"])
    sent = inspect_typed | {"pieces": [piece.pk], "diameter": ".248"}  # .2408 with its zero lost
    assert at_bench.post("/bench/417-1/inspect", **sent).status_code == 422
    assert at_bench.post("/bench/417-1/inspect", **sent | {"diameter": ".2405"}).status_code == 302


@pages
def test_an_overall_length_that_nobody_has_is_asked_about_at_the_check(family):
    family.overall_nm = INCH * 5 // 2
    assert find_odd({"overall": parse("2.48 in")}, family, "in", None, None) == {}
    assert list(find_odd({"overall": parse("24.8 in")}, family, "in", None, None)) == ["overall"]
    assert list(find_odd({"overall": parse("2.58 in")}, family, "in", None, None)) == ["overall"]
    assert list(find_odd({"overall": parse("1.45 in")}, family, "in", None, None)) == ["overall"]


@pages
def test_what_was_confirmed_at_the_check_is_kept_with_its_row(at_bench, make_batch, bench_hand, family):
    family.overall_nm = INCH * 5 // 2
    family.save(update_fields=["overall_nm"])
    line = make_batch(1, number=417).lines.get()
    pieces = ground(line, bench_hand)
    sent = {
        "pieces": [pieces[0].pk],
        "passed": "yes",
        "diameter": ".2408",
        "overall": "1.2 in",
        "sure": "on",
        "note": "short",
    }
    answer = at_bench.post("/bench/417-1/check", **sent)
    assert answer.status_code == 302, re.findall(r'class="error".*?</div>', answer.content.decode(), re.S)
    assert FinalCheck.objects.get().note.startswith("short Right as typed: overall")
