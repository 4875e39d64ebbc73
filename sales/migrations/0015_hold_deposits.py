import django.db.models.deletion
from django.db import migrations, models

from nursery.append_only import only_grows


class Migration(migrations.Migration):
    dependencies = [("sales", "0014_same_buyer")]

    operations = [
        migrations.CreateModel(
            name="HoldDeposit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "hold",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="sales.hold",
                    ),
                ),
                (
                    "payment",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hold_deposit",
                        to="sales.payment",
                    ),
                ),
            ],
            options={"abstract": False},
        ),
        only_grows("sales_holddeposit"),
    ]
