"""Requests know the day they were put away, and strangers' requests are kept for so many days."""

import django.core.validators
from django.db import migrations, models
from django.utils import timezone


def fill(apps, schema_editor):
    """Count those put away before from today on."""
    requests = apps.get_model("sales", "PlantRequest").objects.using(schema_editor.connection.alias)
    requests.filter(is_put_away=True).update(put_away_on=timezone.localdate())


def empty(apps, schema_editor):
    """Say again only whether a request was put away."""
    requests = apps.get_model("sales", "PlantRequest").objects.using(schema_editor.connection.alias)
    requests.exclude(put_away_on=None).update(is_put_away=True)


class Migration(migrations.Migration):
    dependencies = [
        ("sales", "0024_erased_buyers"),
    ]

    operations = [
        migrations.AddField(
            model_name="plantrequest",
            name="put_away_on",
            field=models.DateField(blank=True, null=True),
        ),
        migrations.RunPython(fill, empty),
        migrations.RemoveField(model_name="plantrequest", name="is_put_away"),
        migrations.AddField(
            model_name="publiclist",
            name="request_days",
            field=models.PositiveSmallIntegerField(
                default=180,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(3650),
                ],
            ),
        ),
        migrations.AddConstraint(
            model_name="publiclist",
            constraint=models.CheckConstraint(
                condition=models.Q(("request_days__gte", 1), ("request_days__lte", 3650)),
                name="sales_publiclist_requests_have_an_age",
            ),
        ),
    ]
