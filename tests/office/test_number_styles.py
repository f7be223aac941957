"""Every paper's figures read back against the record, for 1, 40 and 400 pieces and the three ways of writing numbers.

The expected text is made here by decimal arithmetic alone: inch as ASME Y14.5 writes it (no zero before the point,
zeros kept after), millimetres as ISO 80000-1 does (a zero before the mark, which is a point or a comma).
"""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from regrind.bench.models import FinalCheck, Inspection
from regrind.geometry.units import parse
from regrind.office.actions import send_parcel, set_prices
from regrind.office.issuing import Stock, draft
from regrind.record.actions import keep_customer
from regrind.record.models import Batch, Customer
from tests.long_form import FULL

from .conftest import words

pytestmark = pytest.mark.django_db
STYLES = {"point, inch": ("in", "."), "point, mm": ("mm", "."), "comma, mm": ("mm", ",")}
# Four hundred pieces in each style only in full; paper's own tests draw as many every time.
SIZED = [(style, count) for style in STYLES for count in (1, 40, 400) if count < 400 or style == "comma, mm" or FULL]
every_style = pytest.mark.parametrize("style", STYLES)
every_size = pytest.mark.parametrize(("style", "count"), SIZED)


def by_rule(nm: int, unit: str, mark: str, *, sign: bool = False) -> str:
    """Four places of an inch, three of a millimetre: what gauges of .0001 in and of 0.001 mm are written with."""
    places, unit_nm = (4, 25_400_000) if unit == "in" else (3, 1_000_000)
    value = (Decimal(nm) / unit_nm).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)
    text = f"{abs(value):.{places}f}"
    text = text.removeprefix("0") if unit == "in" else text.replace(".", mark)
    return ("−" if value < 0 else "+" if sign and value > 0 else "") + text


def stacked(nm: int, style: str, **how) -> str:
    unit, mark = STYLES[style]
    other = "mm" if unit == "in" else "in"
    return f"{by_rule(nm, unit, mark, **how)} ({by_rule(nm, other, mark, **how)})"


def dual(nm: int, style: str, **how) -> str:
    unit, mark = STYLES[style]
    other = "mm" if unit == "in" else "in"
    return f"{by_rule(nm, unit, mark, **how)} {unit} ({by_rule(nm, other, mark, **how)} {other})"


@pytest.fixture
def done(make_batch, finish, front_desk):
    """done(style, count) -> a batch, every piece measured for itself, priced and sent, of a customer of that style."""

    def make(style: str, count: int) -> Batch:
        Customer.objects.update(unit=STYLES[style][0], decimal_mark=STYLES[style][1], prices_on_slip=True)
        batch = make_batch(count, number=470)
        batch.lines.update(tolerance_nm=250_000)  # every size is inside: none goes out for a reason
        line = batch.lines.get()
        pieces = list(line.pieces.all())
        sizes = {piece.pk: parse(f"0.24{index % 90:02d} in") for index, piece in enumerate(pieces)}
        finish(line, "0.2498 in", "0.2405 in", diameters=sizes)
        set_prices(by=front_desk, prices={line: 1_250})
        send_parcel(by=front_desk, batch=batch, pieces=list(line.pieces.select_related("batch")))
        return batch

    return make


@every_size
def test_a_report_prints_each_piece_s_own_figures(done, style, count):
    done(style, count)
    text = words(draft("report", "470").draw())
    checks = {row.piece.short: row for row in FinalCheck.objects.select_related("piece")}
    assert len(checks) == count
    for short, row in checks.items():
        start = text.index(f"{short} ground ")
        figures = text[start : start + 900].split("now", 1)[1]
        assert stacked(row.diameter_nm, style) in figures
        assert stacked(row.diameter_nm - 6_350_000, style, sign=True) in figures
    inspection = Inspection.objects.filter(copied_from=None).get()
    assert stacked(inspection.diameter_nm, style) in text


@every_size
def test_labels_of_every_piece_print_its_own_figure(done, style, count):
    done(style, count)
    unit, mark = STYLES[style]
    text = words(draft("label", "470-1", stock=Stock("62x29", each=True)).draw())
    for row in FinalCheck.objects.select_related("piece__batch"):
        assert f"{by_rule(row.diameter_nm, unit, mark)} {unit}" in text
        assert dual(row.diameter_nm - 6_350_000, style, sign=True) in text
        assert str(row.piece) in text


@every_size
def test_a_job_sheet_prints_the_plan_s_figures(done, style, count):
    done(style, count)
    text = words(draft("job_sheet", "470").draw())
    for nm in (6_344_920, 6_108_700, 508_000, 17_000_000):  # now, to, cut back, usable: as planned in `finish`
        assert stacked(nm, style) in text
    assert dual(6_350_000 - 508_000, style) in text  # the customer's term, .020 under nominal


@every_size
def test_a_slip_prints_money_with_the_customer_s_marks(done, style, count):
    done(style, count)
    text = words(draft("slip", "470/1").draw())
    whole = {1: "12", 40: "500", 400: "5,000"}[count]
    cents = "50" if count == 1 else "00"
    expected = f"{whole}.{cents}" if STYLES[style][1] == "." else f"{whole.replace(',', ' ')},{cents}"
    assert f"Total USD {expected}" in text


@every_style
def test_a_setup_card_keeps_to_it(make_batch, finish, wheel, style):
    Customer.objects.update(unit=STYLES[style][0], decimal_mark=STYLES[style][1])
    wheel.trued_runout_nm = 7_620
    wheel.save(update_fields=["trued_runout_nm"])
    finish(make_batch(2, number=471).lines.get())
    assert dual(7_620, style) in words(draft("setup_card", "471-1").draw())


@every_style
def test_an_arrival_tag_names_the_tool_by_it(make_batch, metric, style):
    customer, family = metric
    Customer.objects.filter(pk=customer.pk).update(unit=STYLES[style][0], decimal_mark=STYLES[style][1])
    family.nominal_nm = 8_500_000
    family.save(update_fields=["nominal_nm"])
    make_batch(2, number=473, of=family, owner=customer)
    assert f"8{STYLES[style][1]}5 mm, 4 flutes" in words(draft("tag", "473-1").draw())


def test_figures_within_words_take_the_mark_too(make_batch, finish, metric):
    customer, family = metric
    Customer.objects.filter(pk=customer.pk).update(decimal_mark=",")
    family.nominal_nm = 8_500_000
    family.save(update_fields=["nominal_nm"])
    customer.refresh_from_db()
    finish(
        make_batch(2, number=472, of=family, owner=customer).lines.get(),
        "8.482 mm",
        "8.300 mm",
        corner="re-formed",
        corner_size=parse("0.4 mm"),
    )
    # so small a label has no room for the tool's words beside the corner and the coating as they are now
    for kind, number, size in (("label", "472-1", "nominal 8,500"), ("report", "472", "8,5 mm, 4 flutes")):
        text = words(draft(kind, number).draw())
        assert size in text
        assert "0,400 mm (.0157 in)" in text
        assert "8.5 mm" not in text


def test_the_style_is_the_customer_s_and_kept_with_its_history(front_desk, customer):
    assert Customer._meta.get_field("decimal_mark").default == "."
    keep_customer(by=front_desk, customer=customer, name=customer.name, decimal_mark=",")
    assert Customer.objects.get().decimal_mark == ","
