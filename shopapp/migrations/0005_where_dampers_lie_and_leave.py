"""Lay shelves and what lies where, dampers that stay, and parcels."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('shopapp', '0004_what_was_expected_and_asked'),
    ]

    operations = [
        migrations.CreateModel(
            name='Placing',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('part', models.CharField(choices=[('body', 'body'), ('springs', 'springs'), ('tray', 'tray')], max_length=7)),
                ('was', models.CharField(blank=True, default='', max_length=40)),
                ('place', models.CharField(max_length=40)),
                ('at', models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name='Shelf',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=12, unique=True)),
                ('rack', models.CharField(max_length=20)),
                ('shelf', models.CharField(max_length=20)),
                ('retired_at', models.DateTimeField(null=True)),
                ('revision', models.PositiveIntegerField(default=1)),
            ],
            options={
                'verbose_name_plural': 'shelves',
            },
        ),
        migrations.CreateModel(
            name='Stay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('why', models.CharField(choices=[('stored', 'stored for its customer'), ('spares', 'left as spares'), ('scrap', 'to be scrapped by the shop'), ('part', 'waits for a part and a later order')], max_length=8)),
                ('until', models.DateField(null=True)),
                ('who', models.CharField(blank=True, max_length=120)),
                ('how', models.CharField(blank=True, max_length=80)),
                ('words', models.CharField(blank=True, default='', max_length=300)),
                ('at', models.DateTimeField()),
                ('ended_at', models.DateTimeField(null=True)),
            ],
        ),
        migrations.CreateModel(
            name='Parcel',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveSmallIntegerField()),
                ('carrier', models.CharField(max_length=60)),
                ('consignment', models.CharField(max_length=60)),
                ('packed', models.JSONField()),
                ('gas', models.CharField(choices=[('charged', 'charged, as the carrier allows'), ('let out', 'the gas was let out'), ('none', 'not charged')], max_length=7)),
                ('rule', models.CharField(blank=True, max_length=200)),
                ('confirmed', models.CharField(max_length=120)),
                ('at', models.DateTimeField()),
                ('act', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='parcel', to='shopapp.act')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='parcels', to=settings.AUTH_USER_MODEL)),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='parcels', to='shopapp.workorder')),
            ],
        ),
        migrations.AddField(
            model_name='job',
            name='parcel',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='jobs', to='shopapp.parcel'),
        ),
        migrations.AddIndex(
            model_name='job',
            index=models.Index(condition=models.Q(('is_open', True)), fields=['shelf_body'], name='job_shelf_body'),
        ),
        migrations.AddConstraint(
            model_name='job',
            constraint=models.CheckConstraint(condition=models.Q(('parcel__isnull', True), ('handed_over_at__isnull', False), _connector='OR'), name='job_in_parcel_has_left'),
        ),
        migrations.AddField(
            model_name='placing',
            name='act',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='placings', to='shopapp.act'),
        ),
        migrations.AddField(
            model_name='placing',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='placings', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='placing',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='placings', to='shopapp.job'),
        ),
        migrations.AddConstraint(
            model_name='shelf',
            constraint=models.UniqueConstraint(fields=('rack', 'shelf'), name='shelf_once'),
        ),
        migrations.AddConstraint(
            model_name='shelf',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('code', ''), _negated=True), models.Q(('rack', ''), _negated=True), models.Q(('shelf', ''), _negated=True)), name='shelf_named'),
        ),
        migrations.AddField(
            model_name='placing',
            name='shelf',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='placings', to='shopapp.shelf'),
        ),
        migrations.AddField(
            model_name='stay',
            name='act',
            field=models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='stay', to='shopapp.act'),
        ),
        migrations.AddField(
            model_name='stay',
            name='by',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='stays', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddField(
            model_name='stay',
            name='ended_act',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='stays_ended', to='shopapp.act'),
        ),
        migrations.AddField(
            model_name='stay',
            name='job',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='stays', to='shopapp.job'),
        ),
        migrations.AddConstraint(
            model_name='parcel',
            constraint=models.UniqueConstraint(fields=('order', 'number'), name='parcel_numbered_once'),
        ),
        migrations.AddConstraint(
            model_name='parcel',
            constraint=models.CheckConstraint(condition=models.Q(('gas__in', ['charged', 'let out', 'none'])), name='parcel_gas_known'),
        ),
        migrations.AddConstraint(
            model_name='parcel',
            constraint=models.CheckConstraint(condition=models.Q(('gas', 'none'), models.Q(('rule', ''), _negated=True), _connector='OR'), name='parcel_gas_explained'),
        ),
        migrations.AddConstraint(
            model_name='parcel',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('carrier', ''), _negated=True), models.Q(('consignment', ''), _negated=True), models.Q(('confirmed', ''), _negated=True)), name='parcel_named'),
        ),
        migrations.AddConstraint(
            model_name='placing',
            constraint=models.UniqueConstraint(fields=('act', 'job', 'part'), name='placing_once'),
        ),
        migrations.AddConstraint(
            model_name='placing',
            constraint=models.CheckConstraint(condition=models.Q(('part__in', ['body', 'springs', 'tray'])), name='placing_part_known'),
        ),
        migrations.AddConstraint(
            model_name='placing',
            constraint=models.CheckConstraint(condition=models.Q(('place', ''), _negated=True), name='placing_says_where'),
        ),
        migrations.AddConstraint(
            model_name='stay',
            constraint=models.UniqueConstraint(condition=models.Q(('ended_at__isnull', True)), fields=('job',), name='stay_one_at_a_time'),
        ),
        migrations.AddConstraint(
            model_name='stay',
            constraint=models.CheckConstraint(condition=models.Q(('why__in', ['stored', 'spares', 'scrap', 'part'])), name='stay_why_known'),
        ),
        migrations.AddConstraint(
            model_name='stay',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('ended_act__isnull', True), ('ended_at__isnull', True)), models.Q(('ended_act__isnull', False), ('ended_at__isnull', False)), _connector='OR'), name='stay_ended_by_an_act'),
        ),
    ]
