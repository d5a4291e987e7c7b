"""Keep what an order was said to come to, what is asked of each damper, and a signature under what was brought."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shopapp", "0003_search_in_key_order"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="signature",
            name="signature_what_known",
        ),
        migrations.AddField(
            model_name="job",
            name="wish",
            field=models.CharField(blank=True, default="", max_length=300),
        ),
        migrations.AddField(
            model_name="workorder",
            name="expected_gross",
            field=models.DecimalField(decimal_places=3, max_digits=12, null=True),
        ),
        migrations.AddField(
            model_name="workorder",
            name="expected_net",
            field=models.DecimalField(decimal_places=3, max_digits=12, null=True),
        ),
        migrations.AlterField(
            model_name="signature",
            name="what",
            field=models.CharField(
                choices=[
                    ("brought", "brought"),
                    ("fetched", "received"),
                    ("unsafe", "taken back unsafe to use"),
                ],
                max_length=8,
            ),
        ),
        migrations.AddConstraint(
            model_name="signature",
            constraint=models.CheckConstraint(
                condition=models.Q(("what__in", ["brought", "fetched", "unsafe"])),
                name="signature_what_known",
            ),
        ),
    ]
