"""The steps of one batch, for its page and its work."""

import re
from collections.abc import Iterable, Iterator
from datetime import date

from inventory.models import Batch, MethodStep, Nursery
from inventory.queries.due_steps import BatchStep, steps_of_batches
from nursery.numbers import is_number

Work = MethodStep.Work
SHOWN_BY_THE_LEDGER = (Work.ROOT_COUNT, Work.POT_UP, Work.HEAT_OFF, Work.READY)


def steps_of(batch: Batch, on: date, nursery: Nursery) -> list[BatchStep]:
    """Return the steps of a batch in the order of their days; of no known time last."""
    if batch.method_id is None:
        return []
    rows = steps_of_batches(Batch.objects.filter(pk=batch.pk), on, nursery)
    never = (1, date.max)
    return sorted(rows, key=lambda row: (0, row.window.first) if row.window else never)


def ticked_by_entry(named: str, nursery: Nursery) -> BatchStep | None:
    """Return the step named "BATCH-STEP" where one entry does all of it, else None.

    What the ledger shows by itself needs no tick, and a step for several lots is done
    when somebody says so.
    """
    batch, _, step = named.partition("-")
    if not (is_number(batch) and is_number(step)):
        return None
    found = Batch.objects.filter(pk=batch).first()
    rows = steps_of(found, date.today(), nursery) if found else []
    row = next((row for row in rows if row.step.pk == int(step)), None)
    is_whole = row and len(row.lots) == 1 and not row.done
    return row if is_whole and row.step.work not in SHOWN_BY_THE_LEDGER else None


def pairs_named(names: Iterable[str]) -> Iterator[tuple[Batch, MethodStep]]:
    """Yield the batches and steps named "BATCH-STEP", leaving out what is not there."""
    keys = [tuple(name.split("-")) for name in names if re.fullmatch(r"\d+-\d+", name)]
    batches = Batch.objects.in_bulk([int(batch) for batch, _ in keys])
    steps = MethodStep.objects.in_bulk([int(step) for _, step in keys])
    for batch, step in keys:
        if int(batch) in batches and int(step) in steps:
            yield batches[int(batch)], steps[int(step)]
