from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.http import Http404

from regrind.office.issuing import (
    ADDRESS,
    KINDS,
    LABELS,
    STOCKED,
    Stock,
    draft,
    find_standing,
    issue,
    read_file,
    usual_stock,
)
from regrind.office.models import IssuedPaper
from regrind.paper.values import ADDRESS_STOCKS
from regrind.shop.events import Conflict, Refusal
from regrind.shop.management.base import ShopCommand
from regrind.shop.models import Person


class Command(ShopCommand):
    help = (
        "Write a paper into a file. NUMBER: 417 (job_sheet, report), 417-3 (setup_card), 417-3 or 417-3-7 (tag, "
        "label), 417/2 (slip, address), 417/K1 (coater), B-12 (bill), C-3 (credit). A paper issued with the same "
        "content is written again. Any other is issued and stored, as on the page, under --by NAME or the shop's only "
        "owner. --draft only draws it, marked as a draft (labels are not marked); nothing is stored."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("kind", choices=KINDS)
        parser.add_argument("number")
        parser.add_argument("-o", "--output", type=Path, required=True)
        parser.add_argument("--stock", choices=list(ADDRESS_STOCKS), help="of labels; else the stock used last")
        parser.add_argument("--start", type=int, default=1, help="the first free label of a sheet: 1 is top left")
        parser.add_argument("--each", action="store_true", help="a label for every piece, not for every tube")
        how = parser.add_mutually_exclusive_group()
        how.add_argument("--by", metavar="NAME", help="who issues it; without it the shop's only owner")
        how.add_argument("--draft", action="store_true", help="draw it, store nothing")

    def handle(
        self,
        *args: Any,
        kind: str,
        number: str,
        output: Path,
        stock: str | None,
        start: int,
        each: bool,
        by: str | None,
        **options: Any,
    ) -> None:
        try:
            label_stock = Stock(
                stock or (usual_stock((kind,) if kind == ADDRESS else LABELS) if kind in STOCKED else Stock.key),
                start,
                each,
            )
            if options["draft"]:
                pdf, note = draft(kind, number, stock=label_stock, mark="draft").draw(), "a draft"
            else:
                paper = _issue(kind, number, label_stock, by)
                pdf, note = read_file(paper), f"revision {paper.revision}, issued by {paper.by}"
            output.write_bytes(pdf)
        except Http404 as error:
            raise CommandError(f"There is no {number} for a {kind}.") from error
        except (Refusal, Conflict, ValueError, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{output}: {note}, {len(pdf)} bytes")


def _usual(kind: str) -> str:
    """The stock that such a paper was printed on last; any will do for a paper that needs none."""
    return usual_stock((kind,) if kind == ADDRESS else LABELS) if kind in STOCKED else Stock.key


def _issue(kind: str, number: str, label_stock: Stock, by: str | None) -> IssuedPaper:
    """The paper, issued under a name where it is new; a reprint needs none."""
    person = _named(by) if by else _one_owner()
    if person:
        return issue(
            by=person, kind=kind, number=number, stock=label_stock.key, start=label_stock.start, each=label_stock.each
        )
    paper = find_standing(kind, number, label_stock)
    if paper is None:
        raise CommandError(
            f"No {kind} {number} with the content of the record now was issued, and this shop does not have exactly "
            "one owner. Write who issues it with --by NAME, or draw it with --draft."
        )
    return paper


def _named(name: str) -> Person:
    """The active person of this name, in any capitals: no two names differ in nothing else."""
    person = Person.objects.filter(is_active=True, name__iexact=name).first()
    if person is None:
        raise CommandError(f"Nobody active is called {name}. Write a name from the list of people.")
    return person


def _one_owner() -> Person | None:
    owners = list(Person.objects.filter(is_active=True, owner=True)[:2])
    return owners[0] if len(owners) == 1 else None
