"""Names, notes and pictures as they really come: long, foreign, hostile or broken. The paper goes out all the same."""

import dataclasses
import io

import pytest
from PIL import Image

from regrind.paper import job_sheet, report, review, setup_card, slip
from regrind.paper.values import JobPiece, Letterhead, LifeChart, Photo, SetupCard
from tests.paper import papers
from tests.paper.reading import overlaps, pages, sign_boxes, words

MAKERS = {
    "job sheet": (job_sheet, papers.job),
    "report": (report, papers.report),
    "slip": (slip, papers.slip),
    "setup card": (setup_card, papers.setup),
    "review": (review, papers.review),
}
KEPT = {"unit", "decimal_mark", "page", "batch", "result", "currency", "surface_m_s"}
PAGE_LONG = "The customer asked for this to be written out in full, word for word. " * 60


def replaced(value, words, name=""):
    """The same paper with every string in it replaced."""
    if dataclasses.is_dataclass(value):
        return dataclasses.replace(
            value,
            **{
                field.name: replaced(getattr(value, field.name), words, field.name)
                for field in dataclasses.fields(value)
                if not (isinstance(value, SetupCard) and field.name == "number")  # ours: the code's content
            },
        )
    if isinstance(value, tuple):
        return tuple(replaced(one, words, name) for one in value)
    return words if isinstance(value, str) and name not in KEPT else value


every_paper = pytest.mark.parametrize("name", MAKERS)


@every_paper
@pytest.mark.parametrize(
    "hostile",
    [
        "<b>bold</b> & <para>",
        "</para><font size=99>",
        "&lt;i&gt;",
        "x\x00\x07\x1by",
        "\u202egnp\u200f.exe",
        "漢字 שלום",
        "=1+1",
        "'; DROP TABLE tool; --",
        "%s {0} \\n",
        "",
        " ",
        "\n\n\n",
    ],
)
def test_hostile_text_in_every_field_prints_as_letters(name, hostile):
    module, make = MAKERS[name]
    pdf = module.draw(replaced(make(), hostile))
    text = words(pdf).replace(" ", "")
    for word in hostile.split():
        letters = "".join(sign for sign in word if sign.isascii() and sign.isprintable())
        assert letters in text
    assert not set(text) & set("\x00\x07\x1b\u202e\u200f")
    assert "Pageundefined" not in text


@every_paper
@pytest.mark.parametrize(
    "long",
    [
        "Międzynarodowe Przedsiębiorstwo Obróbki Skrawaniem i Szlifowania Narzędzi Wójcik",
        "W" * 70,
        "Жанна-Мария " * 6,
        "0123456789/" * 7,
    ],
)
def test_long_names_wrap_and_nothing_overlaps_or_is_cut(name, long):
    module, make = MAKERS[name]
    pdf = module.draw(replaced(make(), long))
    for page in range(len(pages(pdf))):
        boxes = sign_boxes(pdf, page)
        assert overlaps(boxes) == []
        assert min(box[1] for box in boxes) >= 40
        assert max(box[3] for box in boxes) <= 612 - 40
    joined = "".join(words(pdf).split())
    assert joined.count("".join(long.split())) >= 3


def page_long_places():
    job, returned, sent = papers.job(3), papers.report(3), papers.slip(2)
    piece = job.setups[0].lines[0].pieces[0]
    line = dataclasses.replace(job.setups[0].lines[0], pieces=(dataclasses.replace(piece, note=PAGE_LONG),))
    setup = dataclasses.replace(job.setups[0], lines=(line,))
    tool = returned.lines[0]
    before = dataclasses.replace(tool.pieces[0], why=PAGE_LONG)
    box = dataclasses.replace(job.box[0], note=PAGE_LONG[:1400])
    return {
        "job note": (job_sheet, dataclasses.replace(job, note=PAGE_LONG)),
        "job piece": (job_sheet, dataclasses.replace(job, setups=(setup,))),
        "box line": (job_sheet, dataclasses.replace(job, box=(job.box[0], box, job.box[0]))),
        "report note": (report, dataclasses.replace(returned, note=PAGE_LONG)),
        "report piece": (
            report,
            dataclasses.replace(
                returned, lines=(dataclasses.replace(tool, pieces=(tool.pieces[1], before, tool.pieces[2])),)
            ),
        ),
        "not ground": (report, papers.report(3, not_ground=(papers.not_ground(why=PAGE_LONG),))),
        "slip why": (
            slip,
            dataclasses.replace(sent, lines=(sent.lines[0], dataclasses.replace(sent.lines[1], why=PAGE_LONG))),
        ),
        "slip note": (slip, dataclasses.replace(sent, note=PAGE_LONG)),
        "setup caution": (setup_card, papers.setup(cautions=(PAGE_LONG,))),
    }


@pytest.mark.parametrize("place", page_long_places())
def test_a_page_long_note_breaks_over_pages_and_is_all_there(place):
    module, values = page_long_places()[place]
    pdf = module.draw(values)
    read = pages(pdf)
    expected = 20 if place == "box line" else 60
    assert sum(page.count("written out") + page.count("written ou t") for page in read) >= expected - 1
    assert f"Page {len(read)} of {len(read)}" in read[-1]
    for page in range(len(read)):
        boxes = sign_boxes(pdf, page)
        assert overlaps(boxes) == []
        assert min(box[2] for box in boxes) >= 20


def png(width=64, height=48):
    out = io.BytesIO()
    Image.new("L", (width, height), 90).save(out, "PNG")
    return out.getvalue()


def test_a_photo_stands_with_its_piece_and_a_broken_one_is_told():
    good = report.draw(papers.report(2, photo=png()))
    assert "Photos of pieces not reground" in words(good)
    assert "returned unground: Chip into the flute face · Tooth 2" in words(good)
    assert b"/Subtype /Image" in good
    broken = words(report.draw(papers.report(2, photo=b"not a picture")))
    assert "The photo could not be read." in broken


@pytest.mark.parametrize("size", [(1, 1), (4000, 20), (20, 4000)])
def test_a_logo_of_any_shape_stands_in_its_box(size):
    shop = Letterhead("Hollis Tool Grinding", ("12 Mill Lane",), png(*size))
    pdf = slip.draw(papers.slip(1, head=papers.heading("417-P1", shop=shop)))
    assert len(pages(pdf)) == 1
    assert "Hollis Tool Grinding" in words(pdf)


def test_a_logo_that_was_cut_off_leaves_the_name():
    whole = io.BytesIO()
    Image.effect_noise((200, 80), 90).save(whole, "PNG")
    for logo, shown in ((whole.getvalue(), True), (whole.getvalue()[:2_000], False)):
        shop = Letterhead("Hollis Tool Grinding", logo=logo)
        pdf = slip.draw(papers.slip(1, head=papers.heading("417-P1", shop=shop)))
        assert "Hollis Tool Grinding" in words(pdf)
        assert (b"/Subtype /Image" in pdf) is shown


def test_a_broken_logo_leaves_the_name():
    shop = Letterhead("Hollis Tool Grinding", logo=b"\x89PNG broken")
    assert "Hollis Tool Grinding" in words(slip.draw(papers.slip(1, head=papers.heading("417-P1", shop=shop))))


def test_the_barest_papers_still_print():
    head = papers.heading("1-J", customer=papers.Customer("X"), order_number="", arrived=None, due=None)
    bare = job_sheet.draw(
        papers.JobSheet(head, (), (papers.JobSetup("Setup", (papers.JobLine("1-1", "Cutter", (JobPiece("1-1-1"),)),)),))
    )
    assert "1-1-1 grind" in words(bare)
    assert "in (mm)" not in words(bare)
    empty = report.draw(papers.Report(head, ()))
    assert "0 received 0 ground" in words(empty)
    assert "No instrument was recorded" in words(empty)
    assert "Life of A" in words(report.draw(papers.Report(head, (), life=(LifeChart("A", ()),))))
    with pytest.raises(ValueError, match="cards"):
        setup_card.draw(papers.SetupSheet(head, ()))


def test_many_photos_and_life_charts_take_pages_not_each_other():
    photos = tuple(Photo(png(), f"Tooth {number}") for number in range(9))
    pdf = report.draw(
        papers.report(
            2,
            not_ground=(papers.not_ground(photos=photos),),
            life=tuple(papers.life(points) for points in (1, 2, 9, 40)),
        )
    )
    for page in range(len(pages(pdf))):
        assert overlaps(sign_boxes(pdf, page)) == []
