"""What a test of many visitors does inside the ledger's own process: fill it, and look after.

Run as `python -m tests.load.inside fill|look …` on the ledger that DATABASE_URL names.
"""

import json
import sys

import django

PASSWORD = "kept-dry-under-the-bench"


def fill(what: str, sellers: int, readers: int) -> None:
    """Fill an empty ledger, with the demo or a small stand, and give each visitor an account."""
    from django.core.management import call_command

    from nursery.fresh_rows import look_at_new_rows

    # A database on PostgreSQL comes without tables.
    call_command("migrate", interactive=False, verbosity=0)
    {"demo": _fill_the_demo, "stand": _fill_a_stand}[what]()
    _give_accounts("seller", sellers)
    _give_accounts("viewer", readers)
    look_at_new_rows()


def look() -> None:
    """Print the documents that stand, each with its plants, and what was undone."""
    from django.db.models import Sum

    from sales.models import Document

    rows = Document.objects.filter(kind="sale").annotate(plants=Sum("lines__quantity"))
    print(json.dumps({f"/invoices/{row.pk}/": row.plants for row in rows}))


def _fill_the_demo():
    from nursery import demo

    demo.fill(lambda text: None)


def _fill_a_stand():
    """Write a few lots that will not last until the end."""
    from tests.factories import give_price, lot_holding

    for number in range(4):
        lot = lot_holding(40, f"L{number}", plants="80.00")
        give_price(lot, str(9 + number))


def _give_accounts(role: str, number: int):
    from django.contrib.auth.hashers import make_password
    from django.contrib.auth.models import Group, User

    password = make_password(PASSWORD)
    people = User.objects.bulk_create(
        User(username=f"{role}-{one}", password=password) for one in range(number)
    )
    Group.objects.get(name=role).user_set.set(people)


if __name__ == "__main__":
    django.setup()
    if sys.argv[1] == "fill":
        fill(sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))
    else:
        look()
