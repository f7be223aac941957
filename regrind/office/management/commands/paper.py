from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.http import Http404

from regrind.office.issuing import KINDS, LABELS, Stock, draft, find_standing, issue, read_file, usual_stock
from regrind.office.models import IssuedPaper
from regrind.paper.values import STOCKS
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import Person


class Command(BaseCommand):
    help = (
        "Write a paper into a file. NUMBER: 417 (job_sheet, report), 417-3 (setup_card), 417-3 or 417-3-7 (tag, "
        "label), 417/2 (slip). What was issued and still says what the record says is written as it was issued; "
        "else it is issued and kept, as on the page, under the name of --by NAME or of the shop's one owner. With "
        "--draft it is only drawn, marked as a draft (labels look the same), and nothing is kept."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("kind", choices=KINDS)
        parser.add_argument("number")
        parser.add_argument("-o", "--output", type=Path, required=True)
        parser.add_argument("--stock", choices=list(STOCKS), help="for labels and tags: what the shop printed on last")
        parser.add_argument("--start", type=int, default=1, help="the first free place of a sheet of labels")
        parser.add_argument("--each", action="store_true", help="a label for every piece, not for every tube")
        how = parser.add_mutually_exclusive_group()
        how.add_argument("--by", metavar="NAME", help="who issues it: the shop's one owner unless told")
        how.add_argument("--draft", action="store_true", help="only draw it")

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
            on = Stock(stock or (usual_stock() if kind in LABELS else Stock.key), start, each)
            if options["draft"]:
                pdf, told = draft(kind, number, stock=on, mark="draft").draw(), "a draft"
            else:
                paper = _issue(kind, number, on, by)
                pdf, told = read_file(paper), f"revision {paper.revision}, issued by {paper.by}"
            output.write_bytes(pdf)
        except Http404 as error:
            raise CommandError(f"There is no {number} for a {kind}.") from error
        except (Refusal, Conflict, ValueError, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{output}: {told}, {len(pdf)} bytes")


def _issue(kind: str, number: str, on: Stock, by: str | None) -> IssuedPaper:
    """The paper as it stands, else issued under a name; a reprint asks for none."""
    person = _named(by) if by else _one_owner()
    if person:
        return issue(by=person, kind=kind, number=number, stock=on.key, start=on.start, each=on.each)
    paper = find_standing(kind, number, on)
    if paper is None:
        raise CommandError(
            f"No {kind} {number} was issued that says what the record says now, and this shop has not "
            "one owner: say who issues it with --by NAME, or draw it only with --draft."
        )
    return paper


def _named(name: str) -> Person:
    """Who works here under this name; capitals count only where two names differ in nothing else."""
    here = Person.objects.filter(is_active=True)
    found = list(here.filter(name=name)) or list(here.filter(name__iexact=name))
    if len(found) != 1:
        raise CommandError(
            f"Several here are called {name}: write the name with its capitals."
            if found
            else f"Nobody here is called {name}."
        )
    return found[0]


def _one_owner() -> Person | None:
    owners = list(Person.objects.filter(is_active=True, owner=True)[:2])
    return owners[0] if len(owners) == 1 else None
