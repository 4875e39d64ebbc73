import django.db.models.deletion
import django.db.models.functions.text
import django.db.models.lookups
from django.db import migrations, models

import nursery.fields


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0008_counted_for_price"),
        ("sales", "0006_money_on_account"),
    ]

    operations = [
        migrations.CreateModel(
            name="ArticleNumber",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("gtin", models.CharField(blank=True, max_length=14)),
                ("valid_from", models.DateField()),
                ("request_id", models.UUIDField()),
            ],
        ),
        migrations.AddField(
            model_name="buyer",
            name="price_list",
            field=models.CharField(
                blank=True,
                choices=[
                    ("stand", "stand"),
                    ("landscaper", "landscaper"),
                    ("wholesale", "wholesale"),
                ],
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="price",
            name="grade",
            field=models.CharField(blank=True, max_length=24),
        ),
        migrations.AddField(
            model_name="price",
            name="least",
            field=models.PositiveIntegerField(default=1),
        ),
        migrations.AddField(
            model_name="price",
            name="list",
            field=models.CharField(
                choices=[
                    ("stand", "stand"),
                    ("landscaper", "landscaper"),
                    ("wholesale", "wholesale"),
                ],
                default="stand",
                max_length=10,
            ),
        ),
        migrations.AlterField(
            model_name="price",
            name="amount",
            field=nursery.fields.MoneyField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name="price",
            name="request_id",
            field=models.UUIDField(),
        ),
        migrations.AddConstraint(
            model_name="buyer",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("price_list", ""),
                    ("price_list__in", ["stand", "landscaper", "wholesale"]),
                    _connector="OR",
                ),
                name="sales_buyer_price_list_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="price",
            constraint=models.CheckConstraint(
                condition=models.Q(("list__in", ["stand", "landscaper", "wholesale"])),
                name="sales_price_is_on_a_known_list",
            ),
        ),
        migrations.AddConstraint(
            model_name="price",
            constraint=models.CheckConstraint(
                condition=models.Q(("least__gte", 1)), name="sales_price_is_from_one_plant_on"
            ),
        ),
        migrations.AddConstraint(
            model_name="price",
            constraint=models.UniqueConstraint(
                fields=("request_id", "list", "plant", "container", "grade", "least"),
                name="sales_price_is_set_once_by_a_request",
            ),
        ),
        migrations.AddField(
            model_name="articlenumber",
            name="container",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="article_numbers",
                to="inventory.container",
            ),
        ),
        migrations.AddField(
            model_name="articlenumber",
            name="plant",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="article_numbers",
                to="inventory.plant",
            ),
        ),
        migrations.AddConstraint(
            model_name="articlenumber",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.In(
                    django.db.models.functions.text.Length("gtin"), (0, 8, 12, 13, 14)
                ),
                name="sales_articlenumber_has_the_digits_of_a_gtin",
            ),
        ),
        migrations.AddConstraint(
            model_name="articlenumber",
            constraint=models.UniqueConstraint(
                fields=("request_id", "plant", "container"),
                name="sales_articlenumber_is_set_once_by_a_request",
            ),
        ),
    ]
