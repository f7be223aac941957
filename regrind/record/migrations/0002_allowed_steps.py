"""The pairs of whereabouts that a piece may go between, undo pairs included."""
from django.db import migrations

from regrind.record.moves import allowed_pairs


def fill(apps, schema_editor):
    pairs = apps.get_model("record", "AllowedStep")
    pairs.objects.bulk_create([pairs(pair=pair, undo=undo) for pair, undo in sorted(allowed_pairs().items())],
                              ignore_conflicts=True)


class Migration(migrations.Migration):
    dependencies = [("record", "0001_initial")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
