from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management.base import CommandError, CommandParser

from regrind.shop.backups import folder
from regrind.shop.files.file_references import faulty_files
from regrind.shop.history.database import refuse_unsafe
from regrind.shop.history.seal import broken_seals
from regrind.shop.management.base import PlainCommand


class Command(PlainCommand):
    help = "Check that the database is safe to work with; --history checks every sealed row, photo and paper too."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--history",
            action="store_true",
            help="also check every seal of the history, every photo and every paper (reads all of them)",
        )

    def handle(self, *args: Any, history: bool = False, **options: Any) -> None:
        try:
            refuse_unsafe()
        except ImproperlyConfigured as error:
            raise CommandError(str(error)) from error
        faults = [*broken_seals(), *faulty_files()[:20]] if history else []
        if faults:
            raise CommandError("; ".join(faults))
        if history:
            self._report_foreign_heads()
        checked = "The history is intact, and every photo and paper is present and unchanged."
        unread = "The history, photos and papers were not read: --history reads them."
        self.stdout.write(f"The database is safe to work with. {checked if history else unread}")

    def _report_foreign_heads(self) -> None:
        for head in sorted(folder.foreign_heads(folder.stored_in(Path(settings.BACKUPS)))):
            self.stdout.write(
                f"A backup names the seal {head}, which this history does not have: the history was rewritten, or the "
                "shop was restored from an older backup."
            )
