import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import nursery.fields
from nursery.append_only import only_grows


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0011_own_time_of_old_entries"),
        ("sales", "0016_labels_and_shared_papers"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="StandDay",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("date", models.DateField(db_index=True)),
                ("attended", models.BooleanField(default=True)),
                ("began_with", nursery.fields.MoneyField()),
                (
                    "state",
                    models.CharField(
                        choices=[("open", "open"), ("closed", "closed"), ("undone", "undone")],
                        default="open",
                        max_length=6,
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_days",
                        to="inventory.place",
                    ),
                ),
            ],
            options={
                "ordering": ["-date", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="StandSale",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sales",
                        to="sales.standday",
                    ),
                ),
                (
                    "document",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_sale",
                        to="sales.document",
                    ),
                ),
                (
                    "payment",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_sale",
                        to="sales.payment",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="StandStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("opened", "opened"),
                            ("plants", "plants put out or brought back"),
                            ("money", "money taken out of the box or put in"),
                            ("closed", "closed"),
                        ],
                        max_length=6,
                    ),
                ),
                ("date", models.DateField()),
                ("note", models.TextField(blank=True)),
                ("request_id", models.UUIDField(unique=True)),
                ("entered_at", models.DateTimeField(auto_now_add=True)),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps",
                        to="sales.standday",
                    ),
                ),
                (
                    "entered_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "reverses",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reversed_by",
                        to="sales.standstep",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="StandPlants",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", models.IntegerField()),
                (
                    "lot",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stand_plants",
                        to="inventory.lot",
                    ),
                ),
                (
                    "step",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plants",
                        to="sales.standstep",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "stand plants",
            },
        ),
        migrations.CreateModel(
            name="StandCount",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("cash", nursery.fields.MoneyField()),
                ("pieces", models.JSONField(default=dict)),
                ("card", nursery.fields.MoneyField(blank=True, null=True)),
                (
                    "step",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="count",
                        to="sales.standstep",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="BoxEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("date", models.DateField(db_index=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("over_short", "cash over or short"),
                            ("not_paid", "plants taken and not paid for"),
                            ("bank", "brought to the bank"),
                            ("paid_out", "paid for something"),
                            ("safe", "to or from the house, or noted elsewhere"),
                        ],
                        max_length=10,
                    ),
                ),
                ("amount", nursery.fields.MoneyField()),
                ("note", models.TextField(blank=True)),
                ("request_id", models.UUIDField(unique=True)),
                (
                    "step",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="money",
                        to="sales.standstep",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "box entries",
                "ordering": ["date", "pk"],
            },
        ),
        migrations.AddConstraint(
            model_name="standday",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state", "open")),
                fields=("place",),
                name="sales_standday_is_the_only_one_open_at_its_place",
                violation_error_message="A stand is open at this place already. Close it first.",
            ),
        ),
        migrations.AddConstraint(
            model_name="standday",
            constraint=models.CheckConstraint(
                condition=models.Q(("began_with__gte", 0)),
                name="sales_standday_begins_with_no_less_than_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="standday",
            constraint=models.CheckConstraint(
                condition=models.Q(("state__in", ("open", "closed", "undone"))),
                name="sales_standday_state_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="standstep",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ("opened", "plants", "money", "closed"))),
                name="sales_standstep_kind_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="standstep",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("reverses__isnull", True),
                    models.Q(("reverses", models.F("id")), _negated=True),
                    _connector="OR",
                ),
                name="sales_standstep_reverses_another",
            ),
        ),
        migrations.AddConstraint(
            model_name="standplants",
            constraint=models.UniqueConstraint(
                fields=("step", "lot"), name="sales_standplants_name_a_lot_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="standplants",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity", 0), _negated=True),
                name="sales_standplants_are_not_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="standcount",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("cash__gte", 0),
                    models.Q(("card__isnull", True), ("card__gte", 0), _connector="OR"),
                ),
                name="sales_standcount_is_not_negative",
            ),
        ),
        migrations.AddConstraint(
            model_name="boxentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("kind__in", ("over_short", "not_paid", "bank", "paid_out", "safe"))
                ),
                name="sales_boxentry_kind_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="boxentry",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount", 0), _negated=True),
                name="sales_boxentry_is_not_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="boxentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "not_paid"), _negated=True),
                    ("amount__lt", 0),
                    _connector="OR",
                ),
                name="sales_boxentry_not_paid_is_missing",
            ),
        ),
        migrations.AddConstraint(
            model_name="boxentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "paid_out"), _negated=True),
                    models.Q(("note", ""), _negated=True),
                    _connector="OR",
                ),
                name="sales_boxentry_paid_out_says_what_for",
            ),
        ),
        only_grows(
            "sales_standstep",
            "sales_standplants",
            "sales_standsale",
            "sales_standcount",
            "sales_boxentry",
        ),
    ]
