"""Index what long lists walk through: verbs of acts, a person's entries, the newest invoices, jobs that came back."""


from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shopapp", "0007_a_stay_that_goes_on")]
    operations = [
        migrations.AddIndex(
            model_name="act",
            index=models.Index(fields=["verb", "-at"], name="act_verb"),
        ),
        migrations.AddIndex(
            model_name="entry",
            index=models.Index(fields=["by", "stored_at"], name="entry_by_stored"),
        ),
        migrations.AddIndex(
            model_name="invoice",
            index=models.Index(fields=["-issued_on", "-number", "-id"], name="invoice_newest"),
        ),
        migrations.AddIndex(
            model_name="job",
            index=models.Index(condition=models.Q(("comeback_of__isnull", False)), fields=["order"], name="job_came_back"),
        ),
    ]
