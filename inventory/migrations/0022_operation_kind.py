from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("inventory", "0021_asks_second_step")]

    operations = [
        migrations.AddIndex(
            model_name="operation",
            index=models.Index(fields=["kind", "date"], name="inventory_operation_kind"),
        ),
        migrations.AddIndex(
            model_name="costentry",
            index=models.Index(
                condition=models.Q(("category", "own_time")),
                fields=["category"],
                name="inventory_costentry_own_time",
            ),
        ),
    ]
