"""Job sheet, setup card, report and label of each kind of end tell what was ground and to which size."""

import pytest

from regrind.bench.models import Plan
from regrind.record.models import Customer, Family
from tests.office.paper_words import said

from .plan_pages import keep

pytestmark = pytest.mark.django_db
READ = {"diameter": "9.99 mm", "flute_length": "22 mm", "diameter_source": "measured", "method": "micrometer"}
ARC = {"damage": "depth", "damage_depth": "0.05 mm", "reach": "60°"}
KINDS = {
    "radius": (
        {"corner_radius_nm": 1_000_000},
        ARC,
        {"corner": "re-formed", "corner_size": "1.002 mm"},
        ("Corner radius to form 1.000 mm", "Swing centre, off the axis 3.99"),
        "radius re-formed, 1.002 mm",
    ),
    "ball": (
        {},
        ARC,
        {"corner": "re-formed", "corner_size": "4.997 mm"},
        ("Ball radius 4.995 mm", "Diameter over the ball 9.990 mm"),
        "ball R 4.997 mm",
    ),
    "rougher": (
        {},
        {"damage": "depth", "back": "0.25 mm", "tooth_width": "2 mm"},
        {},
        ("Rake at the new edge 11.1° assumed", "Relief at the new edge 9.1° assumed", "Tooth width after 1.750 mm"),
        "face",
    ),
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_paper_tells_what_was_ground_of_its_kind(at_bench, make_batch, kind):
    has, read, checked, on_card, on_report = KINDS[kind]
    family = Family.objects.create(kind=kind, nominal_nm=10_000_000, teeth=4, material="carbide", **has)
    line = make_batch(1, of=family, owner=Customer.objects.create(name="Stillwell", unit="mm")).lines.get()
    ids = list(line.pieces.values_list("pk", flat=True))
    assert at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | read).status_code == 302
    keep(at_bench, line, ids, option=at_bench.get(f"/bench/{line}/plan").context["picked"])
    plan = Plan.objects.get()
    for paper, number in (("job_sheet", str(line.batch)), ("setup_card", str(line))):
        text = said(paper, number)
        assert all(words in text for words in on_card), text
    at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=plan.grinds.split(), minutes="10")
    size = f"{plan.diameter_nm / 1e6} mm"
    at_bench.post(f"/bench/{line}/check", pieces=ids, diameter=size, passed="yes", **checked)
    report, label = said("report", str(line.batch)), said("label", str(line))
    assert on_report in report
    assert "primary relief, radial rake" in report  # nobody read them: tables, or a maker's figures
    assert f"now {plan.diameter_nm / 1e6:.3f} mm" in label
    assert not checked or on_report in label
