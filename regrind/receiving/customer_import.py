"""Customers from a table: pasted, or as CSV or XLSX, each row checked by the rules of the customer's own page."""

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from regrind.geometry.units import Unit
from regrind.record.models import Customer

from .contact_forms import NewCustomerForm
from .packing_list.cells import Refused, Table, place
from .packing_list.listing import read_table
from .packing_list.text_table import read_text

MOST_CUSTOMERS = 1_000
# What stands in the heads of address lists, in English and German; common practice, no source but use.
HEADS = {
    "name": "name|customer|customer name|company|company name|firm|organisation|organization|kunde|firma",
    "contact": "contact|contact person|contact name|attention|attn|person|ansprechpartner|kontakt",
    "mail": "mail|e mail|email|mail address|email address|e mail address",
    "phone": "phone|telephone|tel|phone number|telephone number|mobile|telefon",
    "address": "address|postal address|street address|billing address|adresse|anschrift",
    "street": "street|address line 1|address 1|strasse|straße",
    "city": "city|town|post town|ort|stadt",
    "postcode": "postcode|post code|zip|zip code|postal code|plz",
    "country": "country|land",
    "unit": "unit|preferred unit|units|einheit",
    "note": "note|notes|remark|remarks|comment|comments|bemerkung",
}
BY_HEAD = {head: name for name, heads in HEADS.items() for head in heads.split("|")}
UNITS = {"in": "in", "inch": "in", "inches": "in", '"': "in", "mm": "mm", "metric": "mm", "millimetres": "mm"}
LOOKED_AT = 20  # rows in which the head stands


@dataclass
class CustomerList:
    """What a table gives: the new customers by the names of the form's fields, row by row, and what is left out."""

    columns: list[str]
    rows: list[dict[str, str]] = field(default_factory=list)
    cells: list[list[str]] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)

    def as_text(self) -> str:
        """The rows as a table again, to go along with the page that shows them."""
        buffer = io.StringIO()
        csv.writer(buffer, delimiter="\t", lineterminator="\n").writerows([self.columns, *self.cells])
        return buffer.getvalue()


def read_customers(text: str, data: bytes, unit: Unit) -> CustomerList:
    """Read a pasted text, or a file's bytes where there are any. unit: of customers whose row names none.

    Customers that the shop has already, and rows without a name, are left out and said. Raises Refused, with the row
    and what is wrong in it, where a row cannot be a customer; every such row is named, not only the first.
    """
    table = read_table(data) if data else read_text(text)
    head, index = _find_head(table)
    read, names = CustomerList(list(index)), _known_names()
    wrong: list[str] = []
    for n, cells in enumerate(table.rows[head + 1 :], start=head + 1):
        values = {name: cells[position] if position < len(cells) else "" for name, position in index.items()}
        row = _row(values, unit)
        if not row["name"]:
            read.left_out += [f"{place(n)}: no name"] if any(cells) else []
        elif row["name"].casefold() in names:
            read.left_out.append(f"{place(n)}: {row['name']} is here already")
        else:
            names.add(row["name"].casefold())
            wrong += [f"{place(n)}, {fault}" for fault in _faults(row)]
            read.rows.append(row)
            read.cells.append(list(values.values()))
    _refuse(read, wrong)
    return read


def _find_head(table: Table) -> tuple[int, dict[str, int]]:
    """The row of heads, and the place of each column by what it holds."""
    best: tuple[int, dict[str, int]] = (0, {})
    for n, cells in enumerate(table.rows[:LOOKED_AT]):
        index: dict[str, int] = {}
        for position, cell in enumerate(cells):
            name = BY_HEAD.get(_plain(cell))
            if name:
                index.setdefault(name, position)
        if len(index) > len(best[1]):
            best = n, index
    if "name" not in best[1]:
        raise Refused("No column is headed Name or Customer. Write a first row such as Name, Contact, Mail, Telephone.")
    return best


def _plain(cell: str) -> str:
    return " ".join(re.sub(r"[^\w\"]+", " ", cell.casefold()).split())


def _known_names() -> set[str]:
    return {name.casefold() for name in Customer.objects.values_list("name", flat=True)}


def _row(values: dict[str, str], unit: Unit) -> dict[str, str]:
    """A row by the names of the form's fields; an address in one column stands where the street does."""
    row = {name: values.get(name, "") for name in ("name", "contact", "mail", "phone", "note", "postcode", "country")}
    row["street"] = values.get("street") or values.get("address", "")
    row["town"] = values.get("city", "")
    typed = values.get("unit", "").casefold()
    return row | {"unit": UNITS.get(typed, typed) or unit}


def form_of(row: dict[str, str]) -> NewCustomerForm:
    """The row as the customer's own page would send it."""
    unit: Unit = "mm" if row["unit"] == "mm" else "in"
    return NewCustomerForm(row | {"scrap": "return", "active": "on"}, unit=unit)


def _faults(row: dict[str, str]) -> list[str]:
    form = form_of(row)
    return [f"{form.fields[name].label or name.capitalize()}: {errors[0]}" for name, errors in form.errors.items()]


def _refuse(read: CustomerList, wrong: Sequence[str]) -> None:
    if wrong:
        raise Refused("\n".join(wrong[:20]) + (f"\nand {len(wrong) - 20} more" if len(wrong) > 20 else ""))
    if not read.rows:
        raise Refused("No row of the table is a new customer." + (f" {read.left_out[0]}." if read.left_out else ""))
    if len(read.rows) > MOST_CUSTOMERS:
        raise Refused(f"The table has {len(read.rows)} customers. At most {MOST_CUSTOMERS} can be read at once.")
