"""Refuse a promise that the plants cannot keep. Called with the ledger held."""

from dataclasses import replace
from datetime import date

from sales.errors import SaleRefused
from sales.models import Hold
from sales.promising import allocate, could_serve
from sales.queries.promises import Promised, promise_of, promised
from sales.queries.words import held_words


def refuse_too_many(held: Hold, before: Promised, on: date) -> None:
    """Raise SaleRefused where a hold as it is now makes any promise shorter than before.

    What was short already, because plants were lost, does not stand in the way.
    """
    plants = set(held.lines.values_list("plant", flat=True))
    after = promised(on, plants)
    worse = after.allocation.shorter_than(before.allocation)
    if not worse:
        return
    own = [line for line in after.lines.values() if line.keeper == held]
    kinds = {after.lines[pk].plant_id for pk in worse}
    fault = next((line for line in own if line.pk in worse), None)
    raise _too_many(fault or next(line for line in own if line.plant_id in kinds), after)


def _too_many(line, after):
    others = [row for row in after.lines.values() if row.pk != line.pk]
    left = allocate(map(promise_of, others), after.stocks)
    promise = promise_of(line)
    stocks = [stock for stock in after.stocks if stock.plant == line.plant_id]
    free = could_serve(replace(promise, ahead=False), left, stocks)
    coming = could_serve(replace(promise, ahead=True), left, stocks) - free
    where = f"in lot {line.lot}" if line.lot else f"in {line.container}"
    words = held_words((row, row.open) for row in others if _alike(row, line))
    growing = f" and about {coming} more are growing that will be ready in time" if coming else ""
    if not line.ahead and line.open <= free + coming:
        right = "Order ahead, or hold fewer."
    elif line.ahead:
        right = "Promise fewer, or for a later day."
    else:
        right = "Hold fewer, or let go of another hold."
    return SaleRefused(
        f"{free} of {line.plant} {where} {'is' if free == 1 else 'are'} free now{growing}; "
        f"{line.open} cannot be promised. {words}{right}",
        field="quantity",
    )


def _alike(one, other):
    return (one.plant_id, one.container_id) == (other.plant_id, other.container_id)
