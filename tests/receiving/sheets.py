"""XLSX files made by hand for the tests: the parts of ECMA-376 that a sheet needs, and the ways to break them."""

import zipfile
from io import BytesIO
from xml.sax.saxutils import escape

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
DATED = f'<styleSheet xmlns="{MAIN}"><cellXfs><xf numFmtId="0"/><xf numFmtId="16"/></cellXfs></styleSheet>'


class Raw(str):
    """A cell's whole XML, for what the plain values cannot say."""

    __slots__ = ()


def _letter(column: int) -> str:
    return chr(65 + column)


def _cell(row: int, column: int, value) -> str:
    where = f"{_letter(column)}{row + 1}"
    if isinstance(value, Raw):
        return value.replace("@", where)
    if value in (None, ""):
        return ""
    if isinstance(value, str):
        return f'<c r="{where}" t="inlineStr"><is><t>{escape(value)}</t></is></c>'
    return f'<c r="{where}"><v>{value}</v></c>'


def sheet(rows, merges=()) -> str:
    cells = (
        f'<row r="{n + 1}">{"".join(_cell(n, k, value) for k, value in enumerate(row))}</row>'
        for n, row in enumerate(rows)
    )
    merged = "".join(f'<mergeCell ref="{ref}"/>' for ref in merges)
    return (
        f'<worksheet xmlns="{MAIN}"><sheetData>{"".join(cells)}</sheetData>'
        + (f"<mergeCells>{merged}</mergeCells>" if merged else "")
        + "</worksheet>"
    )


def book(*sheets: str, states=(), extra=None) -> bytes:
    """A workbook of these sheets' XML. states: of each sheet, "hidden" say. extra: further parts, or in their place."""
    states = [*states, *["visible"] * len(sheets)]
    names = "".join(
        f'<sheet name="S{n}" sheetId="{n}" state="{states[n - 1]}" r:id="rId{n}"/>' for n in range(1, len(sheets) + 1)
    )
    relations = "".join(
        f'<Relationship Id="rId{n}" Target="worksheets/sheet{n}.xml"/>' for n in range(1, len(sheets) + 1)
    )
    parts = {
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets>{names}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f"<Relationships>{relations}</Relationships>",
        "xl/styles.xml": DATED,
    } | {f"xl/worksheets/sheet{n}.xml": xml for n, xml in enumerate(sheets, start=1)}
    return pack(parts | (extra or {}))


def pack(parts: dict[str, str]) -> bytes:
    stream = BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return stream.getvalue()
