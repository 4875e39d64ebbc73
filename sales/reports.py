"""The reports of `manage.py report`: one function a name, one dict a row.

Counts are int, dates date, exact numbers Decimal or Fraction, nothing is None.
"""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from inventory.costing.categories import CATEGORIES, cost_of
from inventory.errors import LedgerError
from inventory.models import Batch, Lot
from inventory.queries.conservation import conservation
from inventory.queries.holdings import holdings
from inventory.queries.losses import losses
from inventory.queries.lots import batch_shares, lot_rows
from inventory.queries.supply_list import supply_rows
from nursery.money import from_millionths
from sales.account_reports import batch_report, space_report
from sales.book_reports import item_report, journal_report, year_report
from sales.buyer_reports import buyers_report
from sales.hold_report import holds_report
from sales.models import Document
from sales.owed_reports import owed_report
from sales.queries.availability import availability
from sales.queries.margin import margin_by
from sales.queries.price_page import price_lines
from sales.queries.trace import trace_batch, trace_document, trace_lot
from sales.stand_report import stand_report
from sales.tax_reports import tax_report


def lots_report(
    *, on: date | None = None, counted: tuple[str, ...] = CATEGORIES, **_
) -> list[dict]:
    """Every lot: what it is, where it stands, what it holds and has cost."""
    shares = batch_shares(on)
    return [
        {
            "lot": row.lot.code,
            "plant": row.lot.plant.name,
            "container": row.lot.container.code,
            "place": row.place.name if row.place else None,
            "age_class": row.age_class,
            "batches": [{"batch": batch, "share": share} for batch, share in shares[row.lot.pk]],
            "on_hand": row.on_hand,
            "held": row.held,
            "available": row.available,
            "cost": row.cost,
            "unit_cost": row.unit_cost,
        }
        for row in lot_rows(on, counted)
    ]


def availability_report(
    *, container: str = "", plant: str = "", on: date | None = None, **_
) -> list[dict]:
    """Plants free to sell."""
    return [
        {
            "plant": row.plant.name,
            "container": row.container.code,
            "grade": row.grade,
            "available": row.available,
            "price": row.price,
            "ready_on": row.ready_on,
        }
        for row in availability(container=container, plant=plant, on=on)
    ]


def prices_report(
    *, on: date | None = None, counted: tuple[str, ...] = CATEGORIES, **_
) -> list[dict]:
    """Every price in force before tax, beside what one plant has cost."""
    return [
        {
            "list": row.list,
            "plant": row.plant.name,
            "container": row.container.code,
            "grade": row.grade,
            "from_quantity": row.from_quantity,
            "price": row.price,
            "since": row.since,
            "unit_cost": row.unit_cost,
            "margin_percent": row.margin_percent,
        }
        for row in price_lines(on, counted)
    ]


def costs_report(
    *, lot: str = "", on: date | None = None, counted: tuple[str, ...] = CATEGORIES, **_
) -> list[dict]:
    """The cost that lots hold, by category."""
    held = holdings(on)
    lots = [_find(Lot, lot)] if lot else Lot.objects.order_by("code")
    return [
        {"lot": row.code, "category": category, "amount": from_millionths(amount)}
        for row in lots
        for category, amount in zip(counted, held.get(row.pk, [0])[1:], strict=False)
        if amount
    ]


def margin_report(
    *,
    by: str = "lot",
    since: date | None = None,
    on: date | None = None,
    counted: tuple[str, ...] = CATEGORIES,
    **_,
) -> list[dict]:
    """What sold plants brought and cost, net of returns."""
    return [
        {
            "key": row.key,
            "sold": int(row.sold) if row.sold.denominator == 1 else row.sold,
            "revenue": row.revenue,
            "cost_of_sales": row.cost_of_sales,
            "margin": row.margin,
            "unit_price": row.unit_price,
            "unit_cost": row.unit_cost,
            "unit_margin": row.unit_margin,
            "margin_percent": row.margin_percent,
        }
        for row in margin_by(by, since=since, on=on, counted=counted)
    ]


def losses_report(
    *, since: date | None = None, on: date | None = None, counted: tuple[str, ...] = CATEGORIES, **_
) -> list[dict]:
    """Plants lost, and what became of their cost."""
    return [
        {
            "date": row.date,
            "lot": row.lot,
            "cause": row.cause,
            "quantity": row.quantity,
            "normal": row.normal,
            "abnormal": row.abnormal,
            "expensed": row.expensed,
        }
        for row in losses(since=since, on=on, counted=counted)
    ]


def trace_report(*, document: str = "", lot: str = "", batch: str = "", **_) -> list[dict]:
    """Where plants came from and where they went."""
    if document:
        rows = trace_document(_find(Document, document, "number"))
    elif lot:
        rows = trace_lot(_find(Lot, lot))
    elif batch:
        rows = trace_batch(_find(Batch, batch))
    else:
        raise LedgerError("Say what to trace: --document, --lot or --batch.")
    names = ("direction", "batch", "lot", "document", "buyer", "quantity", "share")
    return [{name: getattr(row, name) for name in names} for row in rows]


def valuation_report(
    *,
    on: date | None = None,
    method: str = "cost",
    selling: Decimal = Decimal(0),
    counted: tuple[str, ...] = CATEGORIES,
    **_,
) -> list[dict]:
    """The plants and the cost in stock, lot by lot; by another method, item by item."""
    if method != "cost":
        return item_report(method, on, selling, counted)
    held = holdings(on)
    return [
        {
            "lot": lot.code,
            "on_hand": held[lot.pk][0],
            "cost": from_millionths(cost_of(held[lot.pk], counted)),
        }
        for lot in Lot.objects.filter(pk__in=held).order_by("code")
        if any(held[lot.pk])
    ]


def conservation_report(*, on: date | None = None, **_) -> list[dict]:
    """Proof that no plant and no cost is lost from sight."""
    found = conservation(on)
    plants = ("begun", "on_hand", "sold", "lost", "used")
    costs = ("incurred", "in_stock", "cost_of_sales", "expensed", "difference")
    return [
        {f"plants_{name}": getattr(found, f"plants_{name}") for name in plants}
        | {name: getattr(found.total, name) for name in costs}
    ]


def supplies_report(*, on: date | None = None, **_) -> list[dict]:
    """The supplies on hand at their moving average, and what to order."""
    return [
        {
            "supply": row.name,
            "unit": row.supply.unit,
            "on_hand": row.on_hand,
            "value": row.value,
            "unit_price": row.unit_price,
            "reorder_at": row.reorder_at,
            "packs_to_buy": row.packs_to_buy,
        }
        for row in supply_rows(on)
    ]


REPORTS: dict[str, Callable[..., list[dict]]] = {
    "lots": lots_report,
    "availability": availability_report,
    "prices": prices_report,
    "costs": costs_report,
    "margin": margin_report,
    "losses": losses_report,
    "trace": trace_report,
    "valuation": valuation_report,
    "conservation": conservation_report,
    "batch": batch_report,
    "space": space_report,
    "supplies": supplies_report,
    "holds": holds_report,
    "year": year_report,
    "journal": journal_report,
    "owed": owed_report,
    "stand": stand_report,
    "tax": tax_report,
    "buyers": buyers_report,
}


def _find(model, code, field="code"):
    found = model.objects.filter(**{field: code}).first()
    if found is None:
        raise LedgerError(f"There is no {model._meta.verbose_name} {code}.")
    return found
