"""Label stock in the printer's dots: pages, and the places of labels on them."""

import math
from typing import NamedTuple

from regrind.paper.values import LabelStock

PAGES_MM = {"letter": (215.9, 279.4), "A4": (210.0, 297.0)}


class Box(NamedTuple):
    """A label's place on its page, in printer dots from the page's lower left corner."""

    left: int
    top: int
    width: int
    height: int


def page_dots(stock: LabelStock) -> tuple[int, int]:
    """Width and height of a page of this stock, in whole dots of its printer."""
    size_mm = PAGES_MM[stock.grid.page] if stock.grid else (stock.width_mm, stock.height_mm)
    return _dots(size_mm[0], stock.dpi), _dots(size_mm[1], stock.dpi)


def page_points(stock: LabelStock) -> tuple[float, float]:
    """The same in points, a hair under the whole dots: a renderer that rounds up must not add one."""
    width, height = page_dots(stock)
    return _points(width, stock.dpi), _points(height, stock.dpi)


def _points(dots: int, dpi: int) -> float:
    return math.floor(dots * 72 / dpi * 1000 - 1) / 1000


def _dots(mm: float, dpi: int) -> int:
    return round(mm / 25.4 * dpi)


def places(stock: LabelStock) -> list[Box]:
    """Each label's place on a page, row by row."""
    size = _dots(stock.width_mm - 2 * stock.inset_mm, stock.dpi), _dots(stock.height_mm, stock.dpi)
    page_top = page_dots(stock)[1]
    grid = stock.grid
    if grid is None:
        return [Box(_dots(stock.inset_mm, stock.dpi), page_top, *size)]
    return [
        Box(
            _dots(grid.left_mm + stock.inset_mm + column * grid.pitch_x_mm, stock.dpi),
            page_top - _dots(grid.top_mm + row * grid.pitch_y_mm, stock.dpi),
            *size,
        )
        for row in range(grid.rows)
        for column in range(grid.columns)
    ]


def place(stock: LabelStock, start: int) -> Box:
    """The place of one label in dots; start: 1 is the top left one. Raises ValueError where the sheet has no such."""
    boxes = places(stock)
    if not 1 <= start <= len(boxes):
        raise ValueError(f"start: {start} is not on the sheet (1 to {len(boxes)})")
    return boxes[start - 1]
