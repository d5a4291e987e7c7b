"""Let a damper that stays in the shop go on into a job of a later order."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("shopapp", "0006_search_terms_by_row")]
    operations = [
        migrations.AddField(
            model_name="job",
            name="went_on",
            field=models.OneToOneField(
                null=True, on_delete=django.db.models.deletion.PROTECT, related_name="came_from", to="shopapp.job"
            ),
        ),
        migrations.AddConstraint(
            model_name="job",
            constraint=models.CheckConstraint(
                condition=Q(went_on=None) | Q(handed_over_at__isnull=False, parcel=None), name="job_gone_on_over"
            ),
        ),
    ]
