from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.http import Http404

from regrind.office.issuing import KINDS, Stock, draft, issue, read_file
from regrind.paper.values import STOCKS
from regrind.shop.acting import Conflict, Refusal
from regrind.shop.models import Person


class Command(BaseCommand):
    help = ("Write a paper into a file. NUMBER: 417 (job_sheet, report), 417-3 (setup_card), 417-3 or 417-3-7 (tag, "
            "label), 417/2 (slip). With --by NAME it is issued under that name and kept, as on the page; with --draft "
            "it is only drawn, marked as a draft (labels look the same), and nothing is kept.")

    def add_arguments(self, parser):
        parser.add_argument("kind", choices=KINDS)
        parser.add_argument("number")
        parser.add_argument("-o", "--output", type=Path, required=True)
        parser.add_argument("--stock", default="50x25", choices=list(STOCKS), help="for labels and tags")
        parser.add_argument("--start", type=int, default=1, help="the first free place of a sheet of labels")
        parser.add_argument("--each", action="store_true", help="a label for every piece, not for every tube")
        how = parser.add_mutually_exclusive_group(required=True)
        how.add_argument("--by", metavar="NAME", help="who issues it")
        how.add_argument("--draft", action="store_true", help="only draw it")

    def handle(self, *args, kind, number, output, stock, start, each, by, **options):
        try:
            if by:
                person = Person.objects.get(name__iexact=by)
                pdf = read_file(issue(by=person, kind=kind, number=number, stock=stock, start=start, each=each))
            else:
                pdf = draft(kind, number, stock=Stock(stock, start, each), mark="draft").draw()
            output.write_bytes(pdf)
        except Http404 as error:
            raise CommandError(f"There is no {number} for a {kind}.") from error
        except Person.DoesNotExist as error:
            raise CommandError(f"Nobody here is called {by}.") from error
        except (Refusal, Conflict, ValueError, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{output}: {len(pdf)} bytes")
