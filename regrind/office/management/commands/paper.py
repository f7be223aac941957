from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.http import Http404

from regrind.office.issuing import KINDS, draft, issue, read_file
from regrind.shop.acting import Refusal
from regrind.shop.models import Person


class Command(BaseCommand):
    help = ("Write a paper into a file: 417 (job_sheet, report), 417-3 or 417-3-7 (label, tag), 417/2 (slip). "
            "With --by NAME it is issued under that name and kept; without, it is only drawn.")

    def add_arguments(self, parser):
        parser.add_argument("kind", choices=KINDS)
        parser.add_argument("number")
        parser.add_argument("-o", "--output", type=Path, required=True)
        parser.add_argument("--stock", default="50x25")
        parser.add_argument("--start", type=int, default=1)
        parser.add_argument("--by", default="")

    def handle(self, *args, kind, number, output, stock, start, by, **options):
        try:
            if by:
                person = Person.objects.get(name__iexact=by)
                pdf = read_file(issue(by=person, kind=kind, number=number, stock=stock, start=start))
            else:
                pdf = draft(kind, number, stock=stock, start=start).draw()
        except (Refusal, ValueError, Http404, Person.DoesNotExist) as error:
            raise CommandError(f"{kind} {number}: {error}") from error
        output.write_bytes(pdf)
        self.stdout.write(f"{output}: {len(pdf)} bytes")
