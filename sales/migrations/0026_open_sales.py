import django.db.models.deletion
from django.db import migrations, models

import nursery.fields

IN_FORCE = """
EXISTS (
    SELECT 1 FROM sales_documentline l
    JOIN sales_take t ON t.line_id = l.id
    JOIN inventory_movement m ON m.id = t.movement_id
    LEFT JOIN inventory_operation undoing ON undoing.reverses_id = m.operation_id
    WHERE l.document_id = {document}.id AND undoing.id IS NULL
)
"""
KEEP = f"""
INSERT INTO sales_opensale (document_id, buyer_id, amount)
SELECT document_id, buyer_id, amount FROM (
    SELECT sale.id AS document_id, sale.buyer_id,
        CASE WHEN {IN_FORCE.format(document="sale")} THEN sale.net + sale.tax - COALESCE((
            SELECT SUM(credit.net + credit.tax) FROM sales_document credit
            WHERE credit.corrects_id = sale.id AND {IN_FORCE.format(document="credit")}
        ), 0) ELSE 0 END
        - COALESCE((SELECT SUM(p.amount) FROM sales_payment p WHERE p.document_id = sale.id), 0)
        AS amount
    FROM sales_document sale WHERE sale.kind = 'sale'
) AS worked_out
WHERE amount <> 0
"""


def keep_open_sales(apps, schema_editor):
    schema_editor.execute(KEEP)
    # PostgreSQL changes no table further in the same transaction while references wait to be seen.
    schema_editor.connection.check_constraints()


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0022_operation_kind"),
        ("sales", "0025_request_age"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="document",
            index=models.Index(fields=["buyer", "date"], name="sales_document_buyer_date"),
        ),
        migrations.AddIndex(
            model_name="payment",
            index=models.Index(
                condition=models.Q(("document__isnull", False)),
                fields=["date"],
                name="sales_payment_of_sales",
            ),
        ),
        migrations.CreateModel(
            name="OpenSale",
            fields=[
                (
                    "document",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="open_sale",
                        serialize=False,
                        to="sales.document",
                    ),
                ),
                (
                    "buyer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="open_sales",
                        to="sales.buyer",
                    ),
                ),
                ("amount", nursery.fields.MoneyField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("amount", 0), _negated=True),
                        name="sales_opensale_is_not_nothing",
                    )
                ],
            },
        ),
        migrations.RunPython(keep_open_sales, migrations.RunPython.noop),
    ]
