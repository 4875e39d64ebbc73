"""Move the own time entered so far out of labour, and replay what is kept beside the ledger."""

from collections import defaultdict
from decimal import Decimal

from django.db import migrations

from inventory.costing.categories import CATEGORIES, OWN_TIME
from inventory.operations.rebuild import keep_anew
from inventory.queries.holdings import holdings
from nursery.append_only import install, remove
from nursery.money import from_millionths

FACTS = ["inventory_costentry", "inventory_workentry", "inventory_closing"]


def move(apps, editor):
    """Give own time its category. Only here, before a release, do facts change."""
    work = apps.get_model("inventory", "WorkEntry").objects.filter(person__is_own=True)
    if not work.exists():
        return
    agreed = {pk for pk, was, now in _closings(apps) if was == now}
    remove(FACTS, editor.connection)
    costs = apps.get_model("inventory", "CostEntry").objects
    costs.filter(pk__in=_costs_of(costs, work)).update(category=OWN_TIME)
    work.update(category=OWN_TIME)
    keep_anew(apps.get_model("inventory", "Lot").objects.values_list("pk", flat=True))
    _renew_snapshots(apps, agreed)
    install(FACTS, editor.connection)


def _costs_of(costs, work):
    """Return the labour entries that the work made: one each, of its operation and amount."""
    made = defaultdict(list)
    rows = costs.filter(category="labour", operation__in=work.values("operation"))
    for pk, *key in rows.order_by("-pk").values_list("pk", "operation", "amount"):
        made[tuple(key)].append(pk)
    keys = work.order_by("pk").values_list("operation", "amount")
    return [made[key].pop() for key in keys if made[key]]


def _closings(apps):
    """Yield each closing, what its stock was by lot, and what the ledger gives for its day."""
    lots = dict(apps.get_model("inventory", "Lot").objects.values_list("code", "pk"))
    for closing in apps.get_model("inventory", "Closing").objects.filter(kind="close"):
        held = {
            lot: numbers for lot, numbers in holdings(closing.closed_to).items() if any(numbers)
        }
        was = {
            lots.get(row["lot"]): (row["on_hand"], sum(map(Decimal, row["cost"].values())))
            for row in closing.snapshot
        }
        now = {lot: (held[lot][0], from_millionths(sum(held[lot][1:]))) for lot in held}
        yield closing.pk, was, now


def _renew_snapshots(apps, closings):
    """Divide the stock of the closings that agreed with the ledger by the new categories."""
    codes = dict(apps.get_model("inventory", "Lot").objects.values_list("code", "pk"))
    rows = apps.get_model("inventory", "Closing").objects
    for closing in rows.filter(pk__in=closings):
        held = holdings(closing.closed_to)
        for row in closing.snapshot:
            amounts = zip(CATEGORIES, held[codes[row["lot"]]][1:], strict=True)
            row["cost"] = {name: str(from_millionths(n)) for name, n in amounts if n}
        rows.filter(pk=closing.pk).update(snapshot=closing.snapshot)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0010_own_time")]

    operations = [migrations.RunPython(move, migrations.RunPython.noop)]
