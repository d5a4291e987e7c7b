"""Lay the trigram index of the search terms where the database is PostgreSQL; elsewhere this does nothing."""

from django.db import migrations

from shopapp.shop import trigrams


def lay(apps, schema_editor):
    trigrams.lay(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("shopapp", "0001_ground")]
    operations = [migrations.RunPython(lay, migrations.RunPython.noop, elidable=False)]
