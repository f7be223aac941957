"""Packing lists as customers send them, whole and broken: read rightly, or refused with row and column."""

from pathlib import Path

import pytest

from regrind.receiving.line_parser import parse_line
from regrind.receiving.packing_list import Refused, read_list

from .sheets import Raw, book, pack, sheet

FILES = Path(__file__).with_name("lists")


HEAD = ["Pos", "Qty", "Description", "Part no", "Dia (in)", "Remark"]


ROWS = [[1, 12, "End mill 4 FL carbide", "EM-50", 0.5, ""], [2, 6, "Ball nose 2FL", "BN-25", 0.25, "worn"]]


TOOLS = [(12, 12.7), (6, 6.35)]  # what these two rows hold: pieces, mm


DATE = Raw('<c r="@" s="1"><v>46026</v></c>')


def read(data, unit="in"):
    text = data if isinstance(data, str) else ""
    return read_list(text, b"" if text else data, unit)


def tools(packed, unit="in"):
    """(pieces, diameter in mm) of each line; None where it is asked."""
    lines = [parse_line(words, unit) for words in packed.words]
    return [
        (None if line.asks else line.count, line.nominal_nm / 1_000_000 if line.nominal_nm else None) for line in lines
    ]


def csv(*rows, sep=",") -> str:
    return "\n".join(sep.join(str(cell) for cell in row) for row in rows)


PLAIN = csv(HEAD, *ROWS)


SEMICOLONS = "Pos;Menge;Bezeichnung;Ø mm\n1;4;Schaftfräser VHM;6,5\n2;3;Bohrer HSS;10"


RIGHT = {
    "a CSV": (PLAIN, "in", TOOLS),
    "UTF-8 with its mark": (PLAIN.encode("utf-8-sig"), "in", TOOLS),
    "UTF-16, little end first": (PLAIN.encode("utf-16"), "in", TOOLS),
    "UTF-16, big end first": (b"\xfe\xff" + PLAIN.encode("utf-16-be"), "in", TOOLS),
    "UTF-16 without its mark": (PLAIN.encode("utf-16-le"), "in", TOOLS),
    "Windows-1252": (SEMICOLONS.encode("cp1252"), "mm", [(4, 6.5), (3, 10)]),
    "decimal commas between semicolons": (SEMICOLONS, "mm", [(4, 6.5), (3, 10)]),
    "decimal commas in an inch customer's box": (SEMICOLONS, "in", [(4, 6.5), (3, 10)]),
    "decimal commas in quotation marks": (
        'Qty,Tool,Dia mm\n4,"End mill","6,5"\n3,End mill,10',
        "mm",
        [(4, 6.5), (3, 10)],
    ),
    "tabs, as pasted from a sheet": (csv(HEAD, *ROWS, sep="\t"), "in", TOOLS),
    "bars": (csv(HEAD, *ROWS, sep="|"), "in", TOOLS),
    "a line that names the separator": ("sep=;\n" + csv(HEAD, *ROWS, sep=";"), "in", TOOLS),
    "returns of an old machine": (PLAIN.replace("\n", "\r"), "in", TOOLS),
    "empty rows and cells at the end": (PLAIN.replace("\n", "\n,,,,,\n") + "\n,,,,,\n\n", "in", TOOLS),
    "a heading, a date and a total": (
        "Brookfield Tooling,,,,,\nPacking list 2231,,,,,2 Nov 2026\n" + PLAIN + "\nTotal,18,,,,",
        "in",
        TOOLS,
    ),
    "a subtotal of another count": (PLAIN + "\nTotal,19,,,,", "in", TOOLS),
    "a sum without a word": (PLAIN + "\n,18,,,,", "in", TOOLS),
    "headings between the rows": (csv(HEAD, ["Milling"], ROWS[0], ["Ball cutters"], ROWS[1]), "in", TOOLS),
    "its head once more on page two": (csv(HEAD, ROWS[0], HEAD, ROWS[1]), "in", TOOLS),
    "columns in another order": (
        "Remark,Diameter,Description,Pcs\n,1/2,End mill,12\nworn,1/4,Ball nose,6",
        "in",
        TOOLS,
    ),
    "no column but counts and sizes": ("Qty;Size\n12;1/2\n6;1/4", "in", TOOLS),
    "a description named article": ("Artikel;Stk\nEnd mill 1/2;12\nBall nose 1/4;6", "in", TOOLS),
    "the size in the description and beside it": ("Qty,Tool,Dia\n12,1/2 end mill,.5\n6,1/4 ball,0.25", "in", TOOLS),
    "counts with their word": ("Qty,Tool\n12 pcs,1/2 end mill\n6 ea,1/4 ball", "in", TOOLS),
    "counts with decimals": ("Qty,Tool\n12.00,1/2 end mill\n6.0,1/4 ball", "in", TOOLS),
    "heads in capitals, with points": (
        "POS.;Q'TY;DESCRIPTION\n1;12;1/2 end mill\n2;6;1/4 ball".replace("Q'TY", "QTY."),
        "in",
        TOOLS,
    ),
    "no head": ("1,12,1/2 end mill 4FL,A-1\n2,6,1/4 ball,A-2\n3,3,#7 drill,A-3", "in", [*TOOLS, (3, 5.1054)]),
    "lines as people say them": ("Packing list\n2026-11-02\n12 x 1/2 4fl\n6 pcs 1/4 ball\nTotal 18", "in", TOOLS),
    "no count in a row": ("Qty,Tool\n12,1/2 end mill 4 flute\n,1/4 ball 2 flute", "in", [(12, 12.7), (None, 6.35)]),
    "a bare whole size": ("Qty,Tool,Dia\n12,end mill,8\n6,ball,1/4", "in", [(12, None), (6, 6.35)]),
    "two sizes that differ": ("Qty,Tool,Dia\n12,1/2 end mill,3/8\n6,1/4 ball,", "in", [(None, None), (6, 6.35)]),
    "a formula's stored value": (
        book(sheet([HEAD, [1, Raw('<c r="@"><f>3*4</f><v>12</v></c>'), *ROWS[0][2:]], ROWS[1]])),
        "in",
        TOOLS,
    ),
    "a workbook": (book(sheet([HEAD, *ROWS])), "in", TOOLS),
    "a hidden sheet before it": (book(sheet([["secret"]]), sheet([HEAD, *ROWS]), states=["hidden"]), "in", TOOLS),
    "an empty sheet before it": (book(sheet([]), sheet([HEAD, *ROWS])), "in", TOOLS),
    "a second sheet": (book(sheet([HEAD, *ROWS]), sheet([["x", 1]])), "in", TOOLS),
    "a heading over merged cells": (book(sheet([["List", "", ""], HEAD, *ROWS], ["A1:F1"])), "in", TOOLS),
    "a description merged over two rows": (
        book(sheet([["Qty", "Tool", "Dia in"], [12, "End mill", 0.5], [6, "", 0.25]], ["B2:B3"])),
        "in",
        TOOLS,
    ),
    "cells without their names": (
        book(sheet([HEAD, *ROWS]).replace(' r="', ' x="')),
        "in",
        TOOLS,
    ),
    "the noise of a binary fraction": (
        book(sheet([HEAD, [1, 12, "End mill", "", 0.30000000000000004, ""]])),
        "in",
        [(12, 7.62)],
    ),
    "a date as a remark": (book(sheet([HEAD, [*ROWS[0][:5], DATE], ROWS[1]])), "in", TOOLS),
    "as openpyxl writes it": (FILES.joinpath("openpyxl.xlsx").read_bytes(), "in", [*TOOLS, (8, 5.1054), (3, 19.05)]),
    "as XlsxWriter writes it": (
        FILES.joinpath("xlsxwriter.xlsx").read_bytes(),
        "mm",
        [(5, 10), (8, 6.5), (2, 6), (10, 8.5)],
    ),
}


CELLS = ROWS[0][2:]


ERROR = Raw('<c r="@" t="e"><v>#REF!</v></c>')


FORMULA = Raw('<c r="@"><f>3*4</f></c>')


NO_TEXT = Raw('<c r="@" t="s"><v>7</v></c>')


FAR_DOWN = sheet([HEAD, *ROWS]).replace('r="3"', 'r="99999"').replace('3">', '99999">')


OPENPYXL = FILES.joinpath("openpyxl_formula.xlsx").read_bytes()


BOMB = "<!DOCTYPE x [<!ENTITY a 'aaaaaaaaaa'><!ENTITY b '&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;'>]>"


def huge() -> bytes:
    return book(sheet([HEAD, *ROWS]).replace("</sheetData>", " " * 45_000_000 + "</sheetData>"))


WRONG = {
    "nothing": (" ", "in", "empty"),
    "only a head": (csv(HEAD), "in", "No row"),
    "no column of counts": ("Description,Diameter\nEnd mill,1/2", "in", "Row 1 is read as the head.*how many"),
    "no column of tools": ("Pos,Qty\n1,12\n2,6", "in", "Row 1 is read as the head.*what the tools are"),
    "no heads and nothing told apart": ("a,b\nc,d\ne,f", "in", "no head"),
    "a count that is none": (
        csv(HEAD, ROWS[0], [2, "six or so", *ROWS[1][2:]]),
        "in",
        "Row 3, column B holds “six or so”",
    ),
    "half a piece": ("Qty;Tool\n2,5;1/2 end mill\n3;1/4 ball", "in", "Row 2, column A holds “2,5”"),
    "no pieces": ("Qty,Tool\n0,1/2 end mill\n3,1/4 ball", "in", "Row 2, column A holds 0 pieces"),
    "fewer than none": ("Qty,Tool\n-3,1/2 end mill\n3,1/4 ball", "in", "Row 2, column A holds “-3”"),
    "too many pieces": ("Qty,Tool\n12000,1/2 end mill\n3,1/4 ball", "in", "Row 2, column A holds 12000"),
    "a count beside nothing": (csv(HEAD, ROWS[0], [2, 6, "", "BN-25", "", ""]), "in", "Row 3, column C is empty"),
    "each wrong place at once": ("Qty,Tool\nx,1/2 end mill\ny,1/4 ball", "in", "Row 2, column A.*Row 3, column A"),
    "a decimal comma between commas": (
        "Qty,Tool,Dia\n4,End mill,6,5\n3,End mill,10\n2,Drill,3",
        "mm",
        "Row 2 has 4 cells",
    ),
    "a quotation mark left open": (
        'Qty,Tool\n4,"End mill 1/2\n' + "3,End mill 1/4\n" * 40,
        "in",
        "column B holds .* characters",
    ),
    "garbled letters": (SEMICOLONS.encode().decode("cp1252"), "mm", "Row 1, column D.*garbled"),
    "letters that were lost": (SEMICOLONS.replace("ä", "\ufffd"), "mm", "Row 2, column C.*garbled"),
    "UTF-16 cut in the middle": (PLAIN.encode("utf-16")[:-1], "in", "says that it is utf-16"),
    "bytes that are no text": (bytes(range(256)) * 4, "in", "no text"),
    "a PDF": (b"%PDF-1.7 ...", "in", "PDF"),
    "an old XLS, or one with a password": (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "in", "old kind"),
    "a zip of something else": (pack({"mimetype": "text"}), "in", "no XLSX"),
    "an XLSX cut short": (book(sheet([HEAD, *ROWS]))[:-200], "in", "damaged"),
    "XML that does not close": (book(sheet([HEAD, *ROWS])[:-30]), "in", "damaged"),
    "an error in a cell": (book(sheet([HEAD, [1, ERROR, *CELLS]])), "in", "Row 2, column B holds an error, #REF!"),
    "a formula nobody worked out": (book(sheet([HEAD, [1, FORMULA, *CELLS]])), "in", "Row 2, column B holds a formula"),
    "a formula, as openpyxl leaves it": (OPENPYXL, "in", "Row 7, column B holds a formula"),
    "a fraction that became a date": (
        book(sheet([HEAD, [*ROWS[0][:4], DATE, ""], ROWS[1]])),
        "in",
        "Row 2, column E holds a date, 2026-01-04",
    ),
    "a count merged over two rows": (
        book(sheet([["Qty", "Tool"], [12, "1/2 end mill"], ["", "1/4 ball"]], ["A2:A3"])),
        "in",
        "Row 3, column A is merged",
    ),
    "a hundred thousand rows": ("Qty,Tool\n" + "3,1/4 ball\n" * 100_000, "in", "more than 5000 rows"),
    "a row far down": (book(FAR_DOWN), "in", "more than 5000 rows"),
    "more rows than a box has lines": ("Qty,Tool\n" + "3,1/4 ball\n" * 401, "in", "401 rows of tools"),
    "a row of a thousand cells": (
        "Qty,Tool\n3,1/4 ball\n3,1/2 ball\n3,3/8 ball" + ",x" * 1000,
        "in",
        "Row 4 has 1002 cells",
    ),
    "one line of a hundred thousand cells": (
        ",".join(["a"] * 100_000),
        "in",
        "Row 1 has 199999 characters in one line",
    ),
    "such a line after the separator is named": ("sep=;\nQty;Tool\n" + "a" * 200_000, "in", "Row 3 has 200000 char"),
    "a cell of ten million letters": (book(sheet([HEAD, [1, "x" * 10_000_000, *CELLS]])), "in", "more than 32767 char"),
    "a description too long": (f"Qty,Tool\n3,1/4 ball {'long ' * 45}", "in", "Row 2 has .* characters"),
    "a sheet that unpacks to 45 MB": (huge, "in", "far larger unpacked"),
    "entities": (book(BOMB + sheet([HEAD, *ROWS])), "in", "document type"),
    "a shared text that is not there": (book(sheet([HEAD, [1, NO_TEXT, *CELLS]])), "in", "damaged"),
}


def test_there_are_at_least_sixty():
    assert len(RIGHT) + len(WRONG) >= 60


@pytest.mark.parametrize(("data", "unit", "meaning"), RIGHT.values(), ids=RIGHT)
def test_it_is_read_rightly(data, unit, meaning):
    packed = read(data, unit)
    assert [(count, pytest.approx(size) if size else None) for count, size in meaning] == tools(packed, unit)


@pytest.mark.parametrize(("data", "unit", "words"), WRONG.values(), ids=WRONG)
def test_it_is_refused_with_its_place(data, unit, words):
    with pytest.raises(Refused, match=words):
        read(data() if callable(data) else data, unit)


def test_what_is_left_out_and_what_does_not_add_up_is_told():
    packed = read("Brookfield Tooling,,,,,\n" + PLAIN + "\nTotal,19,,,,")
    assert packed.left_out == ["Row 1: Brookfield Tooling", "Row 2: the head", "Row 5: Total, 19"]
    assert packed.notes == ["Row 5 says 19 in all; the rows above it hold 18."]


def test_numbers_remarks_and_positions_go_along():
    first, second = (parse_line(words, "in") for words in read(PLAIN).words)
    assert (first.customer_tool_number, first.teeth, first.material, first.unknown) == ("EM-50", 4, "carbide", [])
    assert (second.kind, second.notes, second.unknown) == ("ball", ["position 2, worn"], [])


def test_sizes_that_contradict_each_other_are_pointed_at():
    parsed = parse_line(read(RIGHT["two sizes that differ"][0]).words[0], "in")
    assert list(parsed.asks[0].answers) == ["3/8", "1/2"]
