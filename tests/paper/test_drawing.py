"""Drawings on paper are to the scale they say, and charts put a figure where its line is."""

import io

import numpy as np
import pytest

from regrind.paper import chart, section
from regrind.paper.type import new_canvas
from regrind.paper.values import Length, LifeChart, Section, Style
from tests.paper import papers
from tests.paper.reading import black, overlaps, raster, sign_boxes, words

MM = 72 / 25.4


def length_mm(value):
    return Length(round(value * 1e6))


def on_paper(flowable, wide=200, high=200):
    buffer = io.BytesIO()
    canvas = new_canvas(buffer, (wide, high), title="drawing", author="test")
    flowable.wrap(wide - 20, high)
    flowable.drawOn(canvas, 10, 10)
    canvas.save()
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("before", "after", "teeth"), [(6.345, 6.116, 3), (12.7, 12.3, 4), (1.5, 1.44, 2), (80, 79, 12)]
)
def test_the_old_circle_measures_what_the_scale_says(before, after, teeth):
    made = Section(teeth, length_mm(before), length_mm(after), length_mm(before * 0.6))
    picture = section.Picture(made, Style("mm"), 120)
    scale = section.scale_for(made, 120)
    pdf = on_paper(picture)
    assert section.scale_text(scale) in words(pdf)
    ink = black(raster(pdf, 600))
    middle = 10 + picture.height - 60
    row = ink[round((200 - middle) / 72 * 600) + 25]  # beside the centre line
    columns = np.nonzero(row[round(10 / 72 * 600) : round(130 / 72 * 600)])[0]
    chord = 2 * np.sqrt((before * scale / 2) ** 2 - (25 / 600 * 25.4) ** 2)
    assert (columns.max() - columns.min()) / 600 * 25.4 == pytest.approx(chord, abs=0.35)


def test_what_is_removed_is_drawn_larger_only_by_a_factor_that_is_said():
    small = Section(3, length_mm(6.345), length_mm(6.325))
    radius, stretch = section.stretched(small, 30)
    assert stretch > 1
    assert radius == pytest.approx(30 - 30 * 0.02 / 6.345 * stretch)
    assert f"removed × {stretch}" in words(on_paper(section.Picture(small, Style("mm"), 80)))
    large = Section(3, length_mm(6), length_mm(5))
    assert section.stretched(large, 30) == (pytest.approx(25), 1)
    assert "removed" not in words(on_paper(section.Picture(large, Style("mm"), 80)))
    assert section.stretched(Section(3, length_mm(6), length_mm(6)), 30) == (30, 1)


@pytest.mark.parametrize(("after", "circles"), [(6.325, 0), (5.0, 1)])
def test_the_core_stands_only_beside_what_is_drawn_at_its_own_size(monkeypatch, after, circles):
    dashed = []
    monkeypatch.setattr(section, "_dashed", lambda _canvas, radius, _dash: dashed.append(radius))
    on_paper(section.Picture(Section(3, length_mm(6.345), length_mm(after), length_mm(3)), Style("mm"), 80))
    assert len(dashed) == circles


@pytest.mark.parametrize("teeth", range(1, 17))
def test_a_section_of_any_number_of_teeth_is_drawn_inside_its_square(teeth):
    pdf = on_paper(section.Picture(Section(teeth, length_mm(10), length_mm(9.8)), Style(), 74))
    rows, columns = np.nonzero(black(raster(pdf, 150)))
    assert len(rows) > 500
    assert columns.min() >= 9 / 72 * 150
    assert columns.max() <= 85 / 72 * 150


@pytest.mark.parametrize("scale", section.SCALES)
def test_scales_are_written_as_draughtsmen_do(scale):
    first, second = section.scale_text(scale).split(" : ")
    assert float(first) / float(second) == pytest.approx(scale)
    assert "1" in (first, second)


@pytest.mark.parametrize("points", [1, 2, 5, 9, 40])
def test_a_life_chart_names_its_lines_and_nothing_overlaps(points):
    life = papers.life(points)
    pdf = on_paper(chart.Life(life, Style()), 540, 160)
    text = words(pdf)
    last = life.points[-1].diameter.nm / 25_400_000
    for part in [
        "nominal .2500 in",
        "your limit .2350 in",
        f"now {last:.4f} in".replace("0.", "."),
        f"{life.points[-1].on:%d %b %Y}",
    ]:
        assert part in text
    assert overlaps(sign_boxes(pdf)) == []


def test_a_chart_spans_all_its_levels_and_one_level_alone():
    low, high = chart.span(papers.life(3))
    assert low < 0.235 * 25_400_000 < 0.25 * 25_400_000 < high
    low, high = chart.span(LifeChart("A", ()))
    assert low < high
    only = LifeChart("A", papers.life(1).points)
    low, high = chart.span(only)
    assert low < only.points[0].diameter.nm < high


def test_names_at_the_ends_of_lines_are_moved_apart():
    assert chart.spread([10, 10, 11, 40], 9) == [10, 19, 28, 40]
