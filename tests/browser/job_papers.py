"""The papers of the main job, read back and laid against the record."""

import re
from collections import Counter

from regrind.bench.models import FinalCheck
from regrind.office.models import IssuedPaper, ParcelPiece

from .job_bench import inch
from .job_steps import Hand

PRICES = (6, 9, 14, 12, 20, 4, 15, 8, 11)  # a piece of each line, USD
CHARGED = ((19, 11, 2, 4, 1, 3, 2, 3, 0), (0, 0, 0, 1, 0, 0, 0, 0, 9))  # ground in each parcel, less the complaint


def read_the_papers(desk: Hand, number: int) -> None:
    desk.open(f"/office/{number}/papers")
    sheet, report = (desk.print_paper(kind, str(number)) for kind in ("job_sheet", "report"))
    labels = {n: desk.print_paper("label", f"{number}-{n}") for n in range(1, 10)}
    slips = [desk.print_paper("slip", f"{number}_{n}") for n in (1, 2)]
    assert "In the box: 60 pieces, 9 lines" in sheet
    assert "60 received 56 ground 1 returned unground 1 scrap 2 missing" in report
    assert_measured_is_printed(number, labels, report)
    assert_labels_say_what_stands_out(labels)
    assert_slips_add_up(number, slips)
    assert IssuedPaper.objects.count() == 2 + len(labels) + len(slips)


def assert_measured_is_printed(number: int, labels: dict[int, str], report: str) -> None:
    """The diameter that each final check read is on its line's label, and on the report, in inch and millimetre."""
    checks = FinalCheck.objects.filter(piece__batch__number=number).select_related("piece__line")
    read = {(row.piece.line.number, row.diameter_nm) for row in checks if row.diameter_nm is not None}
    # one a line; three sizes on line 2, two in the pair, and drills are not measured across
    assert len(read) == 11, sorted(read)
    assert {line for line, _ in read} == set(range(1, 10)) - {6}
    for line, nm in read:
        inches, millimetres = inch(nm / 1e6), f"{nm / 1e6:.3f}"
        assert f"now {inches} in" in labels[line]
        assert f"now {millimetres} mm" in labels[line]
        assert f"now {inches} ({millimetres})" in report


def assert_labels_say_what_stands_out(labels: dict[int, str]) -> None:
    assert "now .2408 in nominal .2500 now 6.116 mm" in labels[2]  # the worked example, 6.1163 mm
    assert "NOT REGROUND Scrap cracked along the flute" in labels[1]
    assert "NOT REGROUND Returned unground we keep it for roughing" in labels[4]
    assert labels[4].count("Coating: AlCrN") == labels[4].count("Coating: ground off on the end and the corner") == 1
    assert "Corner: radius re-formed, .0197 in (0.500 mm)" in labels[4]
    assert "Corner: ball R .2498 in" in labels[7]
    assert "Point 118.0° Overall 3.4500 in" in labels[6]
    pieces = [sum(int(n) for n in re.findall(r"(\d+) pcs?(?: ·|, measured)", labels[line])) for line in sorted(labels)]
    assert pieces == [20, 11, 2, 6, 1, 3, 2, 3, 10]  # all but the two that are missing


def assert_slips_add_up(number: int, slips: list[str]) -> None:
    """Counts out and left behind add up to what came, on each slip; parcels and missing ones to the whole box."""
    sums = [[int(n) for n in re.search(r"Total ((?:\d+ )+)", slip)[1].split()] for slip in slips]
    assert sums == [[60, 45, 1, 1, 1, 10, 2], [60, 11, 47, 2]]
    assert all(came == sum(parts) for came, *parts in sums)
    inside = [int(re.search(r"(\d+) pieces in this parcel", slip)[1]) for slip in slips]
    sent = ParcelPiece.objects.filter(parcel__batch__number=number).order_by("parcel__number")
    assert inside == [47, 11] == list(Counter(sent.values_list("parcel__number", flat=True)).values())
    for slip in slips:
        assert "PO 5518" in slip
        assert "2-12: not in the box" in slip
        assert "9-11: not in the box" in slip
    assert "1 ground, being coated, expected back" in slips[0]
    assert "1 on complaint, no charge" in slips[1]
    assert [re.search(r"Total USD ([\d.]+)", slip)[1] for slip in slips] == [f"{owed(n):.2f}" for n in CHARGED]


def owed(ground: tuple[int, ...]) -> int:
    return sum(count * price for count, price in zip(ground, PRICES, strict=True))
