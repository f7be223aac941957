from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from regrind.shop.backups import BackupError, restore_backup


class Command(BaseCommand):
    help = "Restore a backup into an empty shop and prove it whole: the database, photos and papers."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)

    def handle(self, *args, file: Path, **options):
        try:
            manifest = restore_backup(file.resolve())
        except BackupError as error:
            raise CommandError(str(error)) from error
        rows = sum(manifest["counts"].values())
        self.stdout.write(f"{file.name}: {rows or 'all'} rows, {len(manifest['files']) - 1} photos and papers, whole.")
