"""A box of 60 with six kinds of end goes through the bench on a tablet: inspected, planned, ground, released."""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import pytest

from regrind.bench.models import Grind, Plan
from regrind.office.papers.labels import return_labels
from regrind.record.models import Batch, Customer, Family, Line, Piece
from regrind.shop.events import event

from .job_bench import check_them, grind_them, look
from .job_steps import Hand

EACH = 10
SIZE = {"diameter": "9.99 mm", "flute_length": "22 mm"}


@dataclass(frozen=True)
class Like:
    """Ten like tools: their family, what their line agreed, what is read of them, what the plan grinds, and of the
    corner its size as it is checked and how the label begins to tell it."""

    kind: str
    read: dict[str, str]
    grinds: str
    label: str
    has: dict[str, Any] = field(default_factory=dict)
    agreed: dict[str, int] = field(default_factory=dict)
    corner: dict[str, str] = field(default_factory=dict)


BOX = [
    Like("square", {"damage_depth": "0.05 mm", "reach": "12 mm"}, "sides", "sharp"),
    Like(
        "square",
        {"damage_depth": "0.08 mm", "reach": "0.3 mm"},
        "corner",
        "clipped at 45°, 0.450",
        has={"maker": "Kestrel"},
        agreed={"chamfer_nm": 500_000, "smallest_nm": 9_950_000, "shortest_nm": 21_700_000},
        corner={"corner_size": "0.45 mm"},
    ),
    Like(
        "square",
        {"damage_depth": "0.08 mm", "reach": "0.6 mm", "gash_length": "0.5 mm"},
        "end",
        "sharp",
        has={"maker": "Merlin"},
    ),
    Like(
        "radius",
        {"damage_depth": "0.05 mm", "reach": "60°"},
        "end corner",
        "radius re-formed, 1.002",
        has={"corner_radius_nm": 1_000_000},
        corner={"corner_size": "1.002 mm"},
    ),
    Like(
        "ball",
        {"damage_depth": "0.05 mm", "reach": "60°"},
        "ball",
        "ball R 4.997",
        corner={"corner_size": "4.997 mm"},
    ),
    Like("rougher", {"back": "0.25 mm", "tooth_width": "2 mm"}, "face", ""),
]


@pytest.fixture
def box(front_desk):
    """A box of six lines, ten pieces each."""
    owner = Customer.objects.create(name="Stillwell", unit="mm")
    with event(front_desk, "test"):
        batch = Batch.objects.create(number=61, customer=owner, received_by=front_desk)
        for n, like in enumerate(BOX, start=1):
            size = {"nominal_nm": 10_000_000, "flute_length_nm": 22_000_000}
            family = Family.objects.create(kind=like.kind, teeth=4, material="carbide", **size | like.has)
            line = Line.objects.create(batch=batch, number=n, family=family, **like.agreed)
            Piece.objects.bulk_create(
                Piece(batch=batch, original_line=n, number=k, line=line) for k in range(1, EACH + 1)
            )
    return batch


@pytest.mark.long
def test_a_box_of_sixty_mixed_ends_goes_through_the_bench(open_device, box, bench_hand, wheel, holding, gauges):
    bench = Hand(open_device("tablet"))
    bench.sign_in("Bea")
    for n, like in enumerate(BOX, start=1):
        line = f"{box.number}-{n}"
        look(bench, line, **SIZE | like.read)
        bench.press("Plan this option")
        plans = Plan.objects.filter(piece__line__number=n)
        assert set(plans.values_list("decision", "grinds")) == {("grind", like.grinds)}, line
        assert plans.count() == EACH
        grind_them(bench, line, wheel.name, minutes="60")
        size = f"{(plans.first().diameter_nm or 9_990_000) / 1e6:.4f} mm"
        check_them(bench, line, nth=size, diameter=size, **like.corner)  # what became of the corner is suggested
    states = Counter(Piece.objects.filter(batch=box).values_list("status", "result"))
    assert states == {("released", "ground"): len(BOX) * EACH}
    for line, like in zip(box.lines.order_by("number"), BOX, strict=True):
        [label] = return_labels(line, list(line.pieces.all()), box.received_at.date())
        assert (label.pieces, label.corner.startswith(like.label)) == (EACH, True)
    assert set(Grind.objects.filter(gashed=True).values_list("piece__line__number", flat=True)) == {3}
