from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from regrind.shop.backups import BackupError, make_backup


class Command(BaseCommand):
    help = "Write the whole shop into one new file: the database, photos and papers."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)

    def handle(self, *args, file: Path, **options):
        try:
            manifest = make_backup(file.resolve())
        except BackupError as error:
            raise CommandError(str(error)) from error
        rows = sum(manifest["counts"].values())
        if gone := manifest["missing"]:
            raise CommandError(f"{file.name} is written, but {len(gone)} files are gone from the shop itself: "
                               f"{'; '.join(gone[:5])}. Put them back from an older backup.")
        self.stdout.write(f"{file.name}: {rows or 'all'} rows, {len(manifest['files']) - 1} photos and papers, whole.")
