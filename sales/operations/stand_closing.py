"""Close a stand: count the box and the plants, settle what differs, and undo it."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from django.utils import timezone

from inventory.models import LossCause, Lot, Operation
from inventory.operations.lose import Loss, write_off
from inventory.operations.posting import ledger_held, refuse_closed
from inventory.operations.reverse import reverse
from sales.errors import SaleRefused
from sales.models import BoxEntry, Document, StandCount, StandDay, StandStep
from sales.operations.at_stand import refuse_no_stand
from sales.operations.sell import Item, document_of_request, sell
from sales.operations.stand import (
    Kind,
    refuse_kept,
    refuse_no_amount,
    refuse_second,
    step_of,
    write_money,
    write_plants,
    write_step,
)
from sales.operations.take_back import undo_sale
from sales.queries.promises import promised
from sales.queries.put_out import PutOut, put_out_on
from sales.queries.stand_day import StandFigures, figures_of


@dataclass(frozen=True)
class Left:
    """Plants of a lot that were still there; fewer than expected were sold, or lost to a cause.

    Without `cause` they were sold at the stand's price and not noted.
    """

    lot: Lot
    number: int
    cause: LossCause | None = None


@dataclass
class Settled:
    """What the plants counted mean: those sold and not noted, and those lost."""

    sold: list[Item] = field(default_factory=list)
    lost: list[Loss] = field(default_factory=list)


@dataclass(frozen=True)
class Preview:
    """What a closing would come to: its figures, what it would sell, how many it would lose."""

    figures: StandFigures
    sold: Document | None
    sold_plants: int
    lost: int


class _NotYet(Exception):
    """Raised to leave the transaction of a closing that was only looked at."""


def close_stand(
    *,
    day: StandDay,
    left: list[Left],
    cash: Decimal,
    on: date,
    request_id: UUID,
    pieces: Mapping[str, int] | None = None,
    card: Decimal | None = None,
    note: str = "",
    by=None,
) -> StandStep:
    """Close a stand with the plants `left` and the `cash` counted in its box.

    Plants that are missing become a sale in cash at the stand's prices, or a loss with its
    cause. Then the box should hold its float and the cash sales, less what was given out:
    what it holds beyond is over; what it lacks is short, and at an unattended stand not
    paid. Raises SaleRefused where more plants are left than were out, a lot that is out was
    not counted, or a plant sold has no price.
    """
    with ledger_held():
        done = step_of(request_id)
        if done:
            return done
        refuse_closed(on)
        refuse_no_stand(day, on)
        refuse_no_amount(cash, "cash")
        refuse_no_amount(card or Decimal(0), "card")
        settled = settle(put_out_on(day), left)
        step = write_step(day, Kind.CLOSED, on, note, request_id, by)
        _book(step, settled, by)
        write_plants(step, {row.lot: -row.number for row in left})
        StandCount(step=step, cash=cash, pieces=dict(pieces or {}), card=card).save(
            force_insert=True
        )
        _book_difference(step, cash)
        StandDay.objects.filter(pk=day.pk).update(state=StandDay.State.CLOSED)
        day.state = StandDay.State.CLOSED
        return step


def preview_closing(*, day: StandDay, request_id: UUID, by=None, **closing) -> Preview:
    """Return what `close_stand` would do, and do nothing. Raises what it raises."""
    with suppress(_NotYet), ledger_held():
        step = close_stand(day=day, request_id=request_id, by=by, **closing)
        document = sold_at_closing(step)
        found = Preview(
            figures_of(day), document, _plants_of(step, "sold"), _plants_of(step, "lost")
        )
        raise _NotYet
    day.state = StandDay.State.OPEN
    return found


def settle(out: list[PutOut], left: list[Left]) -> Settled:
    """Return what is to be booked for plants that are not there any more.

    Raises SaleRefused as `close_stand` does.
    """
    counted = {row.lot.pk: row for row in left}
    settled = Settled()
    for row in out:
        found = counted.pop(row.lot_id, None)
        if found is None and row.open:
            raise SaleRefused(
                f"{row.open} of lot {row.lot} should still be out. Count them; write 0 for none.",
                field=f"left-{row.lot_id}",
            )
        if found is None or found.number == row.open:
            continue
        if found.number > row.open:
            raise _more_than_out(row.lot, row.open, found.number)
        gone = row.open - found.number
        if found.cause:
            settled.lost.append(Loss(row.lot, gone, found.cause))
        else:
            settled.sold.append(Item(row.plant, row.container, gone, lot=row.lot))
    for found in counted.values():
        if found.number:
            raise _more_than_out(found.lot, 0, found.number)
    return settled


def undo_stand_step(*, step: StandStep, request_id: UUID, by=None) -> StandStep:
    """Take back one step at a stand; of a closing also what it sold and wrote off.

    Raises SaleRefused where it was undone before, where the stand has closed since, where an
    opening has sales or steps after it, where plants are no longer free, and where another
    stand is open at the place.
    """
    with ledger_held():
        done = step_of(request_id)
        if done:
            return done
        if step.reverses_id or StandStep.objects.filter(reverses=step).exists():
            raise SaleRefused("This was undone already; there is nothing left to undo.")
        refuse_closed(step.date)
        day = StandDay.objects.select_related("place").get(pk=step.day_id)
        plants = set(step.plants.values_list("lot__plant", flat=True))
        today = timezone.localdate()
        before = promised(today, plants)
        state = _state_without(step, day)
        undone = write_step(day, step.kind, step.date, "", request_id, by, reverses=step)
        StandDay.objects.filter(pk=day.pk).update(state=state)
        if step.kind == Kind.CLOSED:
            _unbook(step, request_id, by)
        refuse_kept(before, plants, today)
        return undone


def sold_at_closing(step: StandStep):
    """Return the document of what a closing found sold and not noted, if any."""
    return document_of_request(uuid5(step.request_id, "sold"))


def _plants_of(step, what):
    """Return how many plants a closing sold, or lost."""
    rows = Operation.objects.filter(request_id=uuid5(step.request_id, what))
    return sum(rows.values_list("movements__quantity", flat=True))


def _more_than_out(lot, out, found):
    return SaleRefused(
        f"{out} of lot {lot} should be out; {found} were counted. Count again, undo the sale that "
        "was not, or put out what stands there besides.",
        field=f"left-{lot.pk}",
    )


def _book(step, settled, by):
    """Book the plants that are gone: sold in cash, or lost."""
    if settled.sold:
        sell(
            items=settled.sold,
            on=step.date,
            request_id=uuid5(step.request_id, "sold"),
            paid_by="cash",
            stand=step.day,
            by=by,
        )
    if settled.lost:
        write_off(
            losses=settled.lost,
            on=step.date,
            note=f"At {step.day.party}",
            request_id=uuid5(step.request_id, "lost"),
            by=by,
        )


def _book_difference(step, cash):
    """Book what the box holds more than it should, or less."""
    difference = cash - figures_of(step.day).expected
    if difference:
        missing = difference < 0 and not step.day.attended
        kind = BoxEntry.Kind.NOT_PAID if missing else BoxEntry.Kind.OVER_SHORT
        write_money(step, kind, difference, step.note)


def _unbook(step, request_id, by):
    """Undo what a closing sold and wrote off, as far as it was not undone since."""
    document = sold_at_closing(step)
    if document:
        undo_sale(document=document, request_id=uuid5(request_id, "sold"), by=by)
    lost = Operation.objects.filter(request_id=uuid5(step.request_id, "lost"), reversed_by=None)
    for operation in lost:
        reverse(operation=operation, request_id=uuid5(request_id, "lost"), by=by)


def _state_without(step, day):
    """Return the state of a day without one of its steps, or raise SaleRefused."""
    if step.kind == Kind.CLOSED:
        refuse_second(day.place)
        return StandDay.State.OPEN
    if not day.is_open:
        raise SaleRefused(f"{day} is closed. Undo its closing first.")
    if step.kind != Kind.OPENED:
        return StandDay.State.OPEN
    others = day.steps.in_force().exclude(pk=step.pk)
    sold = figures_of(day).sales
    if sold or others.exists():
        raise SaleRefused(
            "Plants were sold or other steps made since this stand opened. Undo those first, or "
            "close it."
        )
    return StandDay.State.UNDONE
