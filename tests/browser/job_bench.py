"""The bench's part of the main job: a line looked at, ground and checked, and the plan's worked example."""

import re
from collections import Counter

from regrind.bench.models import Plan
from regrind.record.models import Piece

from .job_steps import Hand

RELEASE = re.compile("^Save,? and release ")
EXAMPLE = {
    "diameter": ".2498",
    "damage_depth": "4 thou",
    "reach": ".060",
    "tooth_1": "0",
    "tooth_2": "-2 tenths",
    "tooth_3": "-4 tenths",
    "end_depth": ".010",
    "core": ".150",
    "rake": "8",
    "land": ".010",
    "primary": "12",
    "secondary": "24",
    "mark_1_tooth": "2",
    "mark_1_from": "0",
    "mark_1_to": ".060",
    "mark_1_depth": "4 thou",
    "mark_1_what": "chip",
    "mark_2_tooth": "1",
    "mark_2_from": "0",
    "mark_2_to": ".300",
    "mark_2_wear_land": "6 thou",
}
# Diameter, cut-back, usable length (mm) and rake (degrees) after each option. The flute length, .750 in, was told when
# the line was logged.
EXAMPLE_MM = ((6.1163, 0.3048, 17.221, 3.225), (6.2629, 1.5748, 15.951, 6.172), (6.3551, 7.6708, 11.379, 8.000))


def look(bench: Hand, line: str, *only: str, **typed: str) -> None:
    bench.open(f"/bench/{line}/inspect")
    if only:
        bench.only(*only)
    bench.fill(**typed)
    bench.press("Save inspection")


def grind_them(bench: Hand, line: str, wheel: str, **typed: str) -> None:
    bench.open(f"/bench/{line}/grind")
    bench.fill(**typed)
    bench.choose(wheel=wheel, holding="Work head")
    bench.press("Save grind")


def check_them(
    bench: Hand, line: str, *only: str, nth: str = "", chosen: dict[str, str] | None = None, **typed: str
) -> None:
    bench.open(f"/bench/{line}/check")
    if only:
        bench.only(*only)
    bench.choose(**chosen or {})
    bench.fill(**typed)
    for field in bench.page.locator("fieldset.nth input").all() if nth else []:
        bench.fill(**{str(field.get_attribute("name")): nth})
    bench.press(RELEASE)


def planned(piece: str) -> str:
    """The diameter that a piece is ground to, in tenths of a thou, as a bench hand reads it off the plan."""
    batch, line, number = piece.split("-")
    plans = Plan.objects.filter(piece__batch__number=batch, piece__original_line=line, piece__number=number)
    return f"{plans.latest('revision').diameter_nm / 25_400_000:.4f}"


def status(line: str) -> Counter:
    batch, number = line.split("-")
    return Counter(Piece.objects.filter(batch__number=batch, line__number=number).values_list("status", "result"))


def leading(cell: str) -> str:
    found = re.search(r"\d*\.\d+", cell)
    return found[0] if found else cell


def inch(mm: float) -> str:
    return f"{mm / 25.4:.4f}".removeprefix("0")


def work_the_example(bench: Hand, number: int) -> None:
    """The worked example by itself, keeping the option; the other ten at the best two sizes."""
    line = f"{number}-2"
    bench.open(f"/bench/{line}/inspect")
    bench.only("2-1")
    bench.fill(**EXAMPLE)
    bench.choose(method="V-anvil", gauge="v-anvil 1", indicator="indicator 1", wear_land_way="cutting")
    bench.press("Save inspection")
    read_the_options(bench)
    bench.press("Plan this option")
    look(bench, line, *(f"2-{n}" for n in range(2, 8)), diameter=".2497", damage_depth="3 thou", reach=".060")
    look(bench, line, *(f"2-{n}" for n in range(8, 12)), diameter=".2499", damage_depth="6 thou", reach=".090")
    bench.open(f"/bench/{line}/plan")
    bench.follow("Choose the best two")
    bench.press(re.compile(r"^Plan .+, \d+ pieces?$"))
    assert status(line) == {("ready_to_grind", ""): 11, ("missing", "missing"): 1}
    grind_them(bench, line, "D64 cup", minutes="120")
    check_the_example(bench, line)


def read_the_options(bench: Hand) -> None:
    """Every option's diameter after, end, length and rake as the plan page shows them, inch or the mm beside."""
    shown = [
        [cell.inner_text() for cell in row.locator("td").all()]
        for row in bench.page.locator("h2:text-is('Options') + .scroll tr:has(td)").all()
    ]
    assert len(shown) == len(EXAMPLE_MM)
    for cells, (diameter, cut_back, usable, rake) in zip(shown, EXAMPLE_MM, strict=True):
        assert [leading(cell) for cell in cells[1:4]] == [inch(diameter), inch(cut_back), inch(usable)]
        assert leading(cells[4]) == f"{rake:.1f}"
    assert bench.figures("Diameter after").split() == [inch(EXAMPLE_MM[0][0]), "in", "6.116", "mm"]
    assert bench.figures("Usable length").split() == [inch(EXAMPLE_MM[0][2]), "in", "17.221", "mm"]


def check_the_example(bench: Hand, line: str) -> None:
    """The example in full; then the others by size."""
    gauges = {"gauge": "v-anvil 1", "indicator": "indicator 1"}
    check_them(
        bench,
        line,
        "2-1",
        diameter=planned(f"{line}-1"),
        drop=".0025",
        drop_over=".020",
        runout_sides=".0003",
        overall="2.486",
        usable=".678",
        chosen=gauges | {"drop_way": "along the tangent"},
    )
    sizes = [planned(f"{line}-{n}") for n in (2, 8)]
    check_both_sizes(bench, line, sizes, "Save, and release all 10 (3 measured)", **gauges)
    assert status(line) == {("released", "ground"): 11, ("missing", "missing"): 1}


def check_both_sizes(bench: Hand, line: str, sizes: list[str], button: str, **gauges: str) -> None:
    """Two sizes at once: each has its first piece in full; every nth is of the first size."""
    bench.open(f"/bench/{line}/check")
    bench.choose(**gauges)
    for field, size in zip(
        bench.page.locator("fieldset.first > .fields > .field input[name^=diameter]").all(), sizes, strict=True
    ):
        bench.fill(**{str(field.get_attribute("name")): size})
    for field in bench.page.locator("fieldset.nth input").all():
        bench.fill(**{str(field.get_attribute("name")): sizes[0]})
    bench.press(button)
