from django.db import migrations, models


def empty_the_sums(apps, schema_editor):
    """Cells without the new columns would say that nothing was earned: the start counts all of them anew
    (`recount --if-empty`). After the columns, since PostgreSQL alters no table that has deletions pending."""
    apps.get_model("record", "Tally").objects.all().delete()
    apps.get_model("record", "FamilyMonth").objects.all().delete()


class Migration(migrations.Migration):

    dependencies = [
        ('record', '0008_open_batches'),
    ]

    operations = [
        migrations.AddField(
            model_name='familymonth',
            name='earning_ground',
            field=models.BigIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='familymonth',
            name='earning_hundredths',
            field=models.BigIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='familymonth',
            name='earning_minor',
            field=models.BigIntegerField(default=0),
        ),
        migrations.AddField(
            model_name='familymonth',
            name='earning_n',
            field=models.BigIntegerField(default=0),
        ),
        migrations.RunPython(empty_the_sums, migrations.RunPython.noop),
    ]
