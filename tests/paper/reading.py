"""Read papers back with libraries that did not write them: text, rasters, codes, where each sign stands."""

import io
import re
from ctypes import byref, c_double
from functools import lru_cache

import numpy as np
import pypdfium2 as pdfium
import zxingcpp
from pypdf import PdfReader

SPACES = re.compile("[ \u00a0\u202f\n]+")


@lru_cache(maxsize=64)
def pages(pdf):
    """The text of each page, runs of any space made one plain space."""
    document = pdfium.PdfDocument(pdf)
    texts = [SPACES.sub(" ", sheet.get_textpage().get_text_range().replace("\r", "")) for sheet in document]
    document.close()
    return texts


def words(pdf):
    return " ".join(pages(pdf))


def raster(pdf, dpi, page=0, crop=(0, 0, 0, 0)):
    """A page as its printer sees it: one bit per pixel. crop: points of its left, lower, right, upper edge to leave
    out."""
    document = pdfium.PdfDocument(pdf)
    grey = document[page].render(scale=dpi / 72, crop=crop, grayscale=True).to_pil().convert("L")
    document.close()
    return grey.point(lambda level: 255 if level > 127 else 0)


def read_codes(image):
    codes = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
    return [code.text for code in codes]


def black(image):
    return np.asarray(image) < 128


def ink_box(image):
    """Left, top, right, bottom of all ink, in pixels."""
    rows, columns = np.nonzero(black(image))
    return columns.min(), rows.min(), columns.max() + 1, rows.max() + 1


def sign_boxes(pdf, page=0):
    """Each visible sign with its tight box in points: (sign, left, bottom, right, top)."""
    document = pdfium.PdfDocument(pdf)
    sheet = document[page].get_textpage()
    sides = left, right, bottom, top = [c_double() for _ in range(4)]
    boxes = []
    for index in range(sheet.count_chars()):
        sign = chr(pdfium.raw.FPDFText_GetUnicode(sheet, index))
        if sign.strip(" \r\n\u00a0\u202f\ufffe"):
            pdfium.raw.FPDFText_GetCharBox(sheet, index, *map(byref, sides))
            boxes.append((sign, left.value, bottom.value, right.value, top.value))
    document.close()
    return boxes


def overlaps(boxes, slack=0.2):
    """Pairs of signs whose boxes share more than a hair of both width and height.

    Of all pairs only those are compared of which the second begins below the top of the first: a line's, not a page's.
    """
    if not boxes:
        return []
    boxes = sorted(boxes, key=lambda box: box[2])
    x_low, bottom, right, top = (np.array([box[side] for box in boxes]) for side in range(1, 5))
    places = np.arange(len(boxes))
    others = np.maximum(np.searchsorted(bottom, top - slack) - places - 1, 0)
    first = np.repeat(places, others)
    second = first + 1 + np.arange(len(first)) - np.repeat(np.cumsum(others) - others, others)
    wide = np.minimum(right[first], right[second]) - np.maximum(x_low[first], x_low[second])
    high = np.minimum(top[first], top[second]) - bottom[second]
    small = np.minimum((right - x_low)[first], (right - x_low)[second])
    hit = (wide > slack + 0.25 * small) & (high > slack)
    return [(boxes[a][0], boxes[b][0], boxes[a][1:3]) for a, b in zip(first[hit], second[hit], strict=True)]


def sizes_of(pdf):
    """Every run of text with its font size in points, as the file sets it."""
    runs = []

    def visit(text, _user, matrix, _font, size):
        if text.strip():
            runs.append((SPACES.sub(" ", text), size * abs(matrix[3])))

    for page in PdfReader(io.BytesIO(pdf)).pages:
        page.extract_text(visitor_text=visit)
    return runs
