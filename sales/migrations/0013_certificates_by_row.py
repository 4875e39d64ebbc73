from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("sales", "0012_certificates")]

    operations = [
        migrations.RemoveConstraint(
            model_name="buyer",
            name="sales_buyer_exemption_names_a_certificate",
        ),
        migrations.RemoveField(
            model_name="buyer",
            name="certificate",
        ),
        migrations.AlterField(
            model_name="buyer",
            name="tax_exempt",
            field=models.BooleanField(
                default=False,
                help_text="Only with a certificate in date. Check with your tax authority.",
                verbose_name="buys without tax",
            ),
        ),
    ]
