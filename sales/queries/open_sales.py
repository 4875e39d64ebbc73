"""What is open on each sale, worked out from documents, plants and payments."""

from collections.abc import Iterator

from django.db import connection

from nursery.money import from_millionths
from sales.models import Document

# A document counts while plants of it are in force; what is cancelled still owes its payments back.
IN_FORCE = """
EXISTS (
    SELECT 1 FROM sales_documentline l
    JOIN sales_take t ON t.line_id = l.id
    JOIN inventory_movement m ON m.id = t.movement_id
    LEFT JOIN inventory_operation undoing ON undoing.reverses_id = m.operation_id
    WHERE l.document_id = {document}.id AND undoing.id IS NULL
)
"""
WORKED_OUT = f"""
SELECT sale.id AS document_id, sale.buyer_id,
    CASE WHEN {IN_FORCE.format(document="sale")} THEN sale.net + sale.tax - COALESCE((
        SELECT SUM(credit.net + credit.tax) FROM sales_document credit
        WHERE credit.corrects_id = sale.id AND {IN_FORCE.format(document="credit")}
    ), 0) ELSE 0 END
    - COALESCE((SELECT SUM(p.amount) FROM sales_payment p WHERE p.document_id = sale.id), 0)
    AS amount
FROM sales_document sale WHERE sale.kind = 'sale'
"""
DIFFERENT = f"""
SELECT worked_out.document_id, worked_out.amount, kept.amount
FROM ({WORKED_OUT}) AS worked_out
LEFT JOIN sales_opensale kept ON kept.document_id = worked_out.document_id
WHERE worked_out.amount <> COALESCE(kept.amount, 0)
"""


def open_differences() -> Iterator[str]:
    """Yield, in words, each sale of which something else is kept as open. None is right."""
    with connection.cursor() as cursor:
        cursor.execute(DIFFERENT)
        found = cursor.fetchmany(20)
    numbers = dict(
        Document.objects.filter(pk__in=[row[0] for row in found]).values_list("pk", "number")
    )
    for key, worked_out, kept in found:
        yield (
            f"Document {numbers[key]}: {from_millionths(kept or 0)} is kept as open; its payments "
            f"and credits leave {from_millionths(int(worked_out))}."
        )
