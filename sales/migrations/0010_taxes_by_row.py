from django.db import migrations

from nursery.append_only import may_change, only_grows


class Migration(migrations.Migration):
    dependencies = [("sales", "0009_taxes")]

    operations = [
        may_change("sales_document"),
        *(
            migrations.RemoveField(model_name="document", name=name)
            for name in ("tax_name", "tax_note", "tax_percent")
        ),
        only_grows("sales_document"),
    ]
