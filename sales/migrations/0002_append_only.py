from django.db import migrations

from nursery.append_only import only_grows


class Migration(migrations.Migration):
    dependencies = [("sales", "0001_first")]

    operations = [
        only_grows(
            "sales_document",
            "sales_documentline",
            "sales_take",
            "sales_payment",
        )
    ]
