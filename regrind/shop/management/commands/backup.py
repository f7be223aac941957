import os
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from regrind.shop.backups import attempts, database, folder
from regrind.shop.backups.archive import BackupError
from regrind.shop.backups.lock import Busy
from regrind.shop.backups.making import make_backup
from regrind.shop.history.database import refuse_newer


class Command(BaseCommand):
    help = (
        "Write the whole shop, the database, photos and papers, into one new file and read it back. Into a folder: "
        "under a dated name, and old ones go by themselves. Without a place: into the shop's own folder."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("place", nargs="?", help="a new file, or a folder")
        parser.add_argument("--if-due", action="store_true", help="only if none was made since last night's hour")
        parser.add_argument(
            "--before-update",
            action="store_true",
            help="only if migrations are waiting; it is kept apart from the others",
        )

    def handle(
        self, *args: Any, place: str | None = None, if_due: bool = False, before_update: bool = False, **options: Any
    ) -> None:
        try:
            if if_due or before_update:
                self._by_itself(before_update)
            else:
                self._make(place)
        except (BackupError, ImproperlyConfigured) as error:
            raise CommandError(str(error)) from error

    def _by_itself(self, before_update: bool) -> None:
        if before_update:
            refuse_newer()
        wanted = (
            (not database.is_empty() and database.is_behind())
            if before_update
            else folder.is_due(Path(settings.BACKUPS))
        )
        if not wanted:
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
        self.stdout.write(f"{made.path}: {attempts.in_words(manifest)}")  # a damaged shop opens all the same

    def _make(self, place: str | None) -> None:
        if place is None:
            self._say(*attempts.attempt())
        elif _is_folder(place):
            self._say(*folder.make_dated(Path(place).absolute()))
        else:
            self._tell(Path(place).name, make_backup(Path(place).absolute()))

    def _say(self, made: folder.Kept, manifest: dict[str, Any]) -> None:
        kept = folder.kept_in(made.path.parent)
        self._tell(str(made.path), manifest, f" {len(kept)} are kept there; this is the newest.")

    def _tell(self, name: str, manifest: dict[str, Any], more: str = "") -> None:
        words = f"{name}: {attempts.in_words(manifest)}{more}"
        if manifest["faults"]:
            raise CommandError(f"{words} Put back what is damaged from an older backup.")
        self.stdout.write(words)


def _is_folder(place: str) -> bool:
    return Path(place).is_dir() or place.endswith(tuple(filter(None, (os.sep, os.altsep))))
