"""What lies in the shop's printer decides the size of a sheet, and the shop's setting the colours of its logo."""

import io

import pytest
from PIL import Image
from pypdf import PdfReader

from regrind.office.papers.drafts import draft
from regrind.shop.models import ShopSettings
from regrind.shop.owner.letterhead import logo_of

pytestmark = pytest.mark.django_db
POINTS = {"letter": (612, 792), "A4": (595, 842)}  # ISO 216 and ANSI/ASME Y14.1, of 1/72 in


@pytest.mark.parametrize("paper", POINTS)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_shops_paper_and_not_the_customers_unit_is_printed_on(make_batch, customer, paper, unit):
    ShopSettings.objects.create(name="Millrace Regrinding", paper=paper)
    type(customer).objects.update(unit=unit)
    make_batch(2, number=417)
    box = PdfReader(io.BytesIO(draft("job_sheet", "417").draw())).pages[0].mediabox
    assert sorted(round(float(side)) for side in (box.width, box.height)) == sorted(POINTS[paper])


@pytest.mark.parametrize(("bench", "sheet"), [("", "letter"), ("A4", "A4")])
def test_the_bench_has_a_printer_of_its_own_where_the_shop_says_so(make_batch, bench, sheet):
    ShopSettings.objects.create(name="Millrace Regrinding", paper="letter", bench_paper=bench)
    make_batch(2, number=417)
    printed = {}
    for kind in ("job_sheet", "report"):
        box = PdfReader(io.BytesIO(draft(kind, "417").draw())).pages[0].mediabox
        printed[kind] = sorted(round(float(side)) for side in (box.width, box.height))
    assert printed == {"job_sheet": sorted(POINTS[sheet]), "report": sorted(POINTS["letter"])}


def red_square() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (20, 20), (200, 10, 10)).save(out, "PNG")
    return out.getvalue()


def test_a_logo_is_printed_in_greys_unless_the_shop_says_colour():
    shop = ShopSettings(logo=red_square())
    grey = Image.open(io.BytesIO(logo_of(shop))).convert("RGB").getpixel((5, 5))
    assert len(set(grey)) == 1
    shop.logo_in_colour = True
    assert Image.open(io.BytesIO(logo_of(shop))).convert("RGB").getpixel((5, 5)) == (200, 10, 10)
    assert logo_of(ShopSettings()) is None
