"""How long it takes to say what is owed by age, as open invoices grow to 100,000.

Each ledger's payments are left out, so that every invoice in it is open.
"""

from django.db import connection, transaction

from nursery import append_only
from sales.models import Document, Payment
from sales.queries.owed_by_age import owed_by_buyer, owed_on
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.filling import TODAY
from tests.benchmarks.measuring import least, note, timed
from tests.benchmarks.opened import opened

ROUNDS = 3


def test_what_is_owed_by_age(ledger):
    times, numbers = {}, {}
    for size in SIZES:
        with opened(ledger(size)), transaction.atomic():
            append_only.remove([Payment._meta.db_table], connection)
            Payment.objects.all().delete()
            numbers[size] = Document.objects.filter(kind="sale").count()
            times[size] = least(timed(lambda: owed_by_buyer(TODAY)) for _ in range(ROUNDS))
            every = least([timed(lambda: list(owed_on(TODAY).values_list("number", "owed")))])
            transaction.set_rollback(True)
        note(f"owed by age, {numbers[size]:,} open invoices", times[size])
        note("  the list of each", every)
    first, last = SIZES[0], SIZES[-1]
    growth = times[last].clock / times[first].clock / (numbers[last] / numbers[first])
    note("  time for one invoice, growth", f"{growth:.2f}", "1.3 or less")
