import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, Q

from nursery.append_only import only_grows


class Migration(migrations.Migration):
    dependencies = [("inventory", "0018_first_season")]

    operations = [
        migrations.AddField(
            model_name="plant",
            name="sized_by",
            field=models.CharField(
                choices=[("height", "height"), ("spread", "spread, from side to side")],
                default="height",
                help_text="Creeping and low, spreading conifers are sold by spread, "
                "upright ones by height.",
                max_length=6,
            ),
        ),
        migrations.AddConstraint(
            model_name="plant",
            constraint=models.CheckConstraint(
                condition=Q(sized_by__in=["height", "spread"]),
                name="inventory_plant_is_sized_by_height_or_spread",
            ),
        ),
        migrations.AlterField(
            model_name="operation",
            name="kind",
            field=models.CharField(
                choices=[
                    ("stick", "stuck"),
                    ("sow", "sown"),
                    ("divide", "divided"),
                    ("receive", "received"),
                    ("opening", "opening stock"),
                    ("cost", "cost added"),
                    ("root_count", "rooted count"),
                    ("loss", "written off"),
                    ("pot_up", "potted up"),
                    ("count", "counted"),
                    ("move", "moved"),
                    ("blend", "blended"),
                    ("measure", "measured"),
                    ("use", "used"),
                    ("give", "given away"),
                    ("sale", "sold"),
                    ("return", "returned"),
                    ("undo", "undone"),
                ],
                max_length=12,
            ),
        ),
        migrations.CreateModel(
            name="Measurement",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("date", models.DateField()),
                ("lower_mm", models.PositiveIntegerField(blank=True, null=True)),
                ("upper_mm", models.PositiveIntegerField(blank=True, null=True)),
                ("measured_on", models.DateField()),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="measurements",
                        to="inventory.lot",
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="measurements",
                        to="inventory.operation",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=Q(lower_mm__isnull=True, upper_mm__isnull=True)
                        | Q(
                            lower_mm__gt=0,
                            lower_mm__isnull=False,
                            upper_mm__gt=F("lower_mm"),
                            upper_mm__isnull=False,
                        ),
                        name="inventory_measurement_is_a_range_or_none",
                    ),
                    models.CheckConstraint(
                        condition=Q(measured_on__lte=F("date")),
                        name="inventory_measurement_was_made_by_its_date",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="lotbalance",
            name="measurement",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="balances",
                to="inventory.measurement",
            ),
        ),
        only_grows("inventory_measurement"),
    ]
