import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.core.management.base import CommandError, CommandParser
from django.db import DatabaseError

from regrind.shop.backups import attempts, database, folder
from regrind.shop.backups.archive import BackupError
from regrind.shop.backups.lock import Busy
from regrind.shop.backups.making import make_backup
from regrind.shop.history.database import refuse_newer
from regrind.shop.management.base import PlainCommand


class Command(PlainCommand):
    help = (
        "Back up the database, photos and papers into one new file, and read it back. In a folder the backup gets a "
        "dated name, and expired backups are deleted. Without a place it goes into the shop's own folder."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("place", nargs="?", help="a new file, or a folder")
        parser.add_argument("--if-due", action="store_true", help="only if there is none since 02:00")
        parser.add_argument(
            "--before-update",
            action="store_true",
            help="only if migrations are waiting; such backups are counted apart",
        )

    def handle(
        self, *args: Any, place: str | None = None, if_due: bool = False, before_update: bool = False, **options: Any
    ) -> None:
        try:
            with suppress(DatabaseError):  # of a damaged database the backup itself says what is wrong
                refuse_newer()
            if if_due or before_update:
                self._automatic(before_update)
            else:
                self._make(place)
        except (BackupError, ImproperlyConfigured) as error:
            raise CommandError(str(error)) from error

    def _automatic(self, before_update: bool) -> None:
        if not (self._is_behind() if before_update else folder.is_due(Path(settings.BACKUPS))):
            return
        if hasattr(os, "nice"):
            os.nice(10)  # the tablets go first
        if not before_update:
            call_command("clearsessions")  # once a night, as the backup
        try:
            made, manifest = attempts.attempt(folder.BEFORE_UPDATE if before_update else folder.WHOLE)
        except Busy:
            if before_update:
                raise
            return
        self.stdout.write(f"{made.path}: {attempts.summarize(manifest)}")  # a damaged shop opens all the same

    def _is_behind(self) -> bool:
        """Whether an update waits for its backup; BackupError where the database is not the one of this shop."""
        if database.is_empty():
            folder.refuse_lost_database()
            return False
        return database.is_behind()

    def _make(self, place: str | None) -> None:
        if place is None:
            self._report_dated(*attempts.attempt())
        elif _is_folder(place):
            self._report_dated(*folder.make_dated(Path(place).absolute()))
        else:
            self._report(Path(place).name, make_backup(Path(place).absolute()))

    def _report_dated(self, made: folder.StoredBackup, manifest: dict[str, Any]) -> None:
        stored = folder.stored_in(made.path.parent)
        self._report(str(made.path), manifest, f" This is the newest of {len(stored)} in the folder.")

    def _report(self, name: str, manifest: dict[str, Any], more: str = "") -> None:
        report = f"{name}: {attempts.summarize(manifest)}{more}"
        if manifest["faults"]:
            raise CommandError(f"{report} Restore what is damaged from an older backup.")
        self.stdout.write(report)


def _is_folder(place: str) -> bool:
    return Path(place).is_dir() or place.endswith(tuple(filter(None, (os.sep, os.altsep))))
