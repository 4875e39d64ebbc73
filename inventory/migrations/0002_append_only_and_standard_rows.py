from django.db import migrations

from inventory.standard_rows import write_standard_rows
from nursery.append_only import only_grows


def write_rows(apps, editor):
    write_standard_rows(
        apps.get_model("inventory", "Container"),
        apps.get_model("inventory", "LossCause"),
    )


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_first")]

    operations = [
        only_grows(
            "inventory_operation",
            "inventory_movement",
            "inventory_costentry",
            "inventory_placement",
            "inventory_count",
        ),
        migrations.RunPython(write_rows, migrations.RunPython.noop),
    ]
