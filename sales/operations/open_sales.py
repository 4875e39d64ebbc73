"""Keep which sales are open. Called with the ledger held, by what changed them."""

from collections.abc import Iterable

from django.db import connection

from inventory.models import Operation
from inventory.operations.posting import ledger_held
from inventory.queries.ledger_rows import marks
from sales.models import Document, OpenSale
from sales.queries.open_sales import WORKED_OUT

KEEP = f"""
INSERT INTO sales_opensale (document_id, buyer_id, amount)
SELECT document_id, buyer_id, amount FROM ({WORKED_OUT} {{which}}) AS worked_out WHERE amount <> 0
"""


def keep_open(sales: Iterable[int]) -> None:
    """Work out anew what is open on the sales with these keys."""
    keys = list(set(sales))
    if not keys:
        return
    OpenSale.objects.filter(pk__in=keys).delete()
    with connection.cursor() as cursor:
        cursor.execute(KEEP.format(which=f"AND sale.id IN ({marks(keys)})"), keys)


def keep_open_of(operation: Operation) -> None:
    """Work out anew what is open on the sales whose plants an operation moved."""
    if operation.kind in (Operation.Kind.SALE, Operation.Kind.RETURN):
        documents = Document.objects.filter(lines__takes__movement__operation=operation)
        pairs = documents.values_list("pk", "corrects").distinct()
        keep_open(corrected or key for key, corrected in pairs)


def keep_all_open() -> None:
    """Work out anew what is open on every sale."""
    with ledger_held(), connection.cursor() as cursor:
        OpenSale.objects.all().delete()
        cursor.execute(KEEP.format(which=""))
