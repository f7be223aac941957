import shutil
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError, CommandParser

from regrind.shop.backups.archive import BackupError
from regrind.shop.backups.database import is_behind
from regrind.shop.backups.restoring import restore_backup
from regrind.shop.files.file_references import private_folder
from regrind.shop.management.base import PlainCommand

NO_KEY = (
    "A backup never holds the signing key, so that nobody who finds one can sign in with it. Everyone must sign in "
    "again with the old password. Tablets stay enrolled; PINs and badges stay valid. A code from a phone is no longer "
    "right: take it away with 'manage end_second_factor NAME', then set the phone up again."
)


class Command(PlainCommand):
    help = "Restore a backup into an empty shop and check it: the database, photos and papers."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", help="the file of the backup; - reads it from standard input")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        try:
            manifest = self._from_input() if file == "-" else restore_backup(Path(file).absolute())
        except BackupError as error:
            raise CommandError(str(error)) from error
        name = "The backup" if file == "-" else Path(file).name
        rows = sum(manifest["counts"].values())
        self.stdout.write(f"{name}: {rows} rows, {len(manifest['files']) - 1} photos and papers restored and checked.")
        if is_behind():
            self.stdout.write(
                "The backup was made by an older program. Run 'migrate', then 'check_database --history'."
            )
        self.stdout.write(NO_KEY)

    def _from_input(self) -> dict[str, Any]:
        home = private_folder(Path(settings.DATA))
        try:
            with TemporaryDirectory(dir=home, prefix=".restore-") as scratch:
                with (Path(scratch) / "input").open("wb") as file:
                    shutil.copyfileobj(sys.stdin.buffer, file)
                return restore_backup(Path(scratch) / "input")
        except OSError as error:
            raise BackupError(f"The backup from standard input cannot be stored: {error.strerror or error}.") from error
