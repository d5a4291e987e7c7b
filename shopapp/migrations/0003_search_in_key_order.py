"""Keep the search terms of each kind of row in the order of their keys, by code points on both databases."""

from django.db import migrations, models


def by_code_points(apps, schema_editor):
    """PostgreSQL may sort by a language; a range of keys is then no part of an index. SQLite sorts by code points."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute('ALTER TABLE shopapp_searchterm ALTER COLUMN key TYPE varchar(80) COLLATE "C"')


class Migration(migrations.Migration):
    dependencies = [("shopapp", "0002_search_trigrams")]
    operations = [
        migrations.RunPython(by_code_points, migrations.RunPython.noop, elidable=False),
        migrations.RemoveIndex(model_name="searchterm", name="search_key_kind"),
        migrations.AddIndex(
            model_name="searchterm",
            index=models.Index(fields=["target_kind", "key"], name="search_target_key"),
        ),
    ]
