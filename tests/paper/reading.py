"""Read papers back with libraries that did not write them: text, rasters, codes, where each sign stands."""

import io
import re
from functools import lru_cache

import numpy as np
import pypdfium2 as pdfium
import zxingcpp
from pypdf import PdfReader

SPACES = re.compile("[ \u00a0\u202f\n]+")


@lru_cache(maxsize=64)
def pages(pdf):
    """The text of each page, runs of any space made one plain space."""
    return [SPACES.sub(" ", page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


def words(pdf):
    return " ".join(pages(pdf))


def raster(pdf, dpi, page=0):
    """A page as its printer sees it: one bit per pixel."""
    document = pdfium.PdfDocument(pdf)
    grey = document[page].render(scale=dpi / 72, grayscale=True).to_pil().convert("L")
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
    boxes = []
    for index in range(sheet.count_chars()):
        sign = sheet.get_text_range(index, 1)
        if sign.strip(" \r\n\u00a0\u202f\ufffe"):
            boxes.append((sign, *sheet.get_charbox(index)))
    document.close()
    return boxes


def overlaps(boxes, slack=0.2):
    """Pairs of signs whose boxes share more than a hair of both width and height."""
    if not boxes:
        return []
    x_low, bottom, right, top = (np.array([box[side] for box in boxes]) for side in range(1, 5))
    wide = np.minimum(right[:, None], right) - np.maximum(x_low[:, None], x_low)
    high = np.minimum(top[:, None], top) - np.maximum(bottom[:, None], bottom)
    small = np.minimum((right - x_low)[:, None], right - x_low)
    hit = (wide > slack + 0.25 * small) & (high > slack)
    first, second = np.nonzero(np.triu(hit, 1))
    return [(boxes[a][0], boxes[b][0], boxes[a][1:3]) for a, b in zip(first, second, strict=True)]


def sizes_of(pdf):
    """Every run of text with its font size in points, as the file sets it."""
    runs = []

    def visit(text, _user, matrix, _font, size):
        if text.strip():
            runs.append((SPACES.sub(" ", text), size * abs(matrix[3])))

    for page in PdfReader(io.BytesIO(pdf)).pages:
        page.extract_text(visitor_text=visit)
    return runs
