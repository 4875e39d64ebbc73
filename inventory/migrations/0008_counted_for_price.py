from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0007_cash_step"),
    ]

    operations = [
        migrations.AddField(
            model_name="nursery",
            name="counted_for_price",
            field=models.CharField(
                choices=[
                    ("line", "each plant by itself"),
                    ("sale", "all plants of that container in the sale"),
                ],
                default="line",
                max_length=4,
            ),
        ),
        migrations.AddConstraint(
            model_name="nursery",
            constraint=models.CheckConstraint(
                condition=models.Q(("counted_for_price__in", ["line", "sale"])),
                name="inventory_nursery_counted_for_price_is_known",
            ),
        ),
    ]
