"""Let each index of the search terms serve one question: a row's terms, a kind's beginnings, any beginning.

The constraint that began with the key tempted PostgreSQL to walk every beginning for one kind of row.
"""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shopapp", "0005_where_dampers_lie_and_leave")]
    operations = [
        migrations.RemoveConstraint(model_name="searchterm", name="search_term_once"),
        migrations.RemoveIndex(model_name="searchterm", name="search_target"),
        migrations.AddConstraint(
            model_name="searchterm",
            constraint=models.UniqueConstraint(
                fields=("target_kind", "target_id", "kind", "key"), name="search_term_of_row_once"
            ),
        ),
        migrations.AddIndex(
            model_name="searchterm", index=models.Index(fields=["key"], name="search_key")
        ),
    ]
