"""Promise plants to a buyer, change the promise, hand the plants over."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from inventory.models import Container, Lot, Plant
from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import (
    Buyer,
    Document,
    Hold,
    HoldChange,
    HoldLine,
    HoldNumber,
    Payment,
    PlantRequest,
)
from sales.operations.deposits import take_deposit
from sales.operations.pay import undo_payment
from sales.operations.promise_room import refuse_too_many
from sales.operations.sell import Item, sell, whole_in_currency
from sales.queries.deposits import deposit_of
from sales.queries.promises import is_ready, promised
from sales.queries.words import day_words


@dataclass(frozen=True)
class Wanted:
    """Plants to promise: of any lot, or one; of any grade, or one; at a price, or the list's.

    `ahead` plants may still be growing.
    """

    plant: Plant
    container: Container
    quantity: int
    grade: str = ""
    lot: Lot | None = None
    unit_price: Decimal | None = None
    ahead: bool = False


@dataclass(frozen=True)
class DepositPaid:
    """Money paid ahead with a hold, and how: one of Payment.MONEY."""

    amount: Decimal
    method: str


def hold(
    *,
    buyer: Buyer,
    wanted: Iterable[Wanted],
    until: date,
    on: date,
    request_id: UUID,
    note: str = "",
    deposit: DepositPaid | None = None,
    asked: PlantRequest | None = None,
    by=None,
) -> Hold:
    """Keep plants for a buyer until the end of a day; where they still grow, order them ahead.

    It answers the request `asked`, which then no longer waits. A deposit goes onto the
    buyer's account, and off it again where the hold is undone. Raises SaleRefused for no
    plants, a day before `on`, where too few plants are free, or expected in time, and what
    `take_deposit` refuses.
    """
    with ledger_held():
        done = HoldChange.objects.filter(request_id=request_id).first()
        if done:
            return done.hold
        _refuse_past(until, on)
        wanted = _some(wanted)
        before = promised(on, {one.plant.pk for one in wanted})
        made = Hold.objects.create(
            buyer=buyer.kept, made_on=on, until=until, note=note, asked=asked
        )
        numbers = {_new_line(made, one, on): one.quantity for one in wanted}
        _write_change(made, until, numbers, request_id, by)
        refuse_too_many(made, before, on)
        if deposit:
            one = _of_deposit(request_id)
            take_deposit(hold=made, **asdict(deposit), on=on, request_id=one, by=by)
        return made


def add_to_hold(
    *, hold: Hold, wanted: Iterable[Wanted], on: date, request_id: UUID, by=None
) -> HoldChange:
    """Promise more plants in a hold, on lines of their own, until its day.

    Raises SaleRefused for no plants, a hold whose day has gone by, and where too few
    plants are free, or expected in time.
    """
    with ledger_held():
        done = HoldChange.objects.filter(request_id=request_id).first()
        if done:
            return done
        held = Hold.objects.get(pk=hold.pk)
        if held.until < on:
            raise SaleRefused(
                f"{held} ended on {day_words(held.until)}. Keep it longer first, or make a new one."
            )
        wanted = _some(wanted)
        before = promised(on, _plants_of(held) | {one.plant.pk for one in wanted})
        numbers = {_new_line(held, one, on): one.quantity for one in wanted}
        change = _write_change(held, held.until, numbers, request_id, by)
        refuse_too_many(held, before, on)
        return change


def change_hold(
    *,
    hold: Hold,
    on: date,
    request_id: UUID,
    until: date | None = None,
    numbers: Mapping[HoldLine, int] | None = None,
    by=None,
) -> HoldChange:
    """Keep a hold longer or shorter, and change its numbers; fewer are let go.

    A line's number counts what was handed over too. Raises SaleRefused for a day gone by,
    a number below what was handed over, no change, and where too few plants are free.
    """
    with ledger_held():
        done = HoldChange.objects.filter(request_id=request_id).first()
        if done:
            return done
        held = Hold.objects.get(pk=hold.pk)
        lines = {line.pk: line for line in held.lines.with_taken()}
        wanted = {lines[line.pk]: number for line, number in (numbers or {}).items()}
        wanted = {line: number for line, number in wanted.items() if number != line.quantity}
        if until and until != held.until:
            _refuse_past(until, on)
        _refuse_below_taken(wanted)
        if not wanted and until in (None, held.until):
            raise SaleRefused("Nothing would change. Enter another number or day.")
        before = promised(on, {line.plant_id for line in lines.values()})
        change = _write_change(held, until or held.until, wanted, request_id, by)
        refuse_too_many(held, before, on)
        return change


def let_go_of_hold(*, hold: Hold, on: date, request_id: UUID, by=None) -> HoldChange:
    """Let go of all that a hold still keeps; what was handed over stays sold."""
    with ledger_held():
        numbers = {line: line.taken for line in hold.lines.with_taken()}
        return change_hold(hold=hold, numbers=numbers, on=on, request_id=request_id, by=by)


def undo_hold_change(*, change: HoldChange, on: date, request_id: UUID, by=None) -> HoldChange:
    """Put a hold back as it was before a change; a hold just made is let go.

    The deposit taken with a hold just made is undone with it. Raises SaleRefused where it
    was changed again since, where plants were handed over or the deposit was used since,
    and where the plants are no longer free.
    """
    with ledger_held():
        done = HoldChange.objects.filter(request_id=request_id).first()
        if done:
            return done
        _refuse_undone(change)
        held = Hold.objects.get(pk=change.hold_id)
        lines = {line.pk: line for line in held.lines.with_taken()}
        numbers = {lines[row.line_id]: row for row in change.numbers.all()}
        moved = change.until_before != change.until_after
        if (moved and held.until != change.until_after) or any(
            line.quantity != row.after for line, row in numbers.items()
        ):
            raise SaleRefused(f"{held} was changed again since. Undo the later change first.")
        wanted = {line: row.before for line, row in numbers.items()}
        _refuse_below_taken(wanted)
        until = change.until_before if moved else held.until
        before = promised(on, {line.plant_id for line in lines.values()})
        undone = _write_change(held, until, wanted, request_id, by, reverses=change)
        refuse_too_many(held, before, on)
        _undo_deposit(change, request_id, by)
        return undone


def sell_held(
    *,
    hold: Hold,
    numbers: Mapping[HoldLine, int],
    on: date,
    request_id: UUID,
    paid_by: str = "",
    note: str = "",
    use_deposit: bool = True,
    by=None,
) -> Document:
    """Hand over plants of a hold, all or a part, and issue the invoice; the rest stays held.

    A price agreed applies, else the list's of that day. What is left of the deposit pays
    first, as far as it goes. Undoing the sale gives the hold and the deposit back. Raises
    SaleRefused for more than is open, and whatever `sell` refuses.
    """
    with ledger_held():
        lines = {line.pk: line for line in _with_all(hold)}
        items = [
            _item(lines[line.pk], number, request_id) for line, number in numbers.items() if number
        ]
        return sell(
            items=items,
            on=on,
            request_id=request_id,
            buyer=hold.buyer,
            paid_by=paid_by,
            deposit=deposit_of(hold, on).left if use_deposit else Decimal(0),
            note=note,
            by=by,
        )


def _plants_of(held):
    return set(held.lines.values_list("plant", flat=True))


def _of_deposit(request_id):
    return uuid5(request_id, "deposit")


def _undo_deposit(change, request_id, by):
    """Undo the deposit that was taken with a hold, where it still stands."""
    rows = Payment.objects.filter(request_id=_of_deposit(change.request_id), reversed_by=None)
    for payment in rows:
        undo_payment(payment=payment, request_id=_of_deposit(request_id), by=by)


def _with_all(hold):
    return hold.lines.with_taken().select_related("hold", "plant", "container", "lot")


def _item(line, number, request_id):
    sold = line.handed_over.filter(movement__operation__request_id=request_id).exists()
    if not sold and number > line.open:
        raise SaleRefused(
            f"{line.open} of {line.plant} in {line.container} are still held; {number} cannot "
            "be handed over. Enter that number or fewer, or raise the number first.",
            field="quantity",
        )
    return Item(line.plant, line.container, number, line.lot, line.unit_price, line)


def _new_line(made, one, on):
    if one.quantity < 1:
        raise SaleRefused(f"{one.plant}: hold at least one.", field="quantity")
    if one.lot and (one.lot.plant_id, one.lot.container_id) != (one.plant.pk, one.container.pk):
        raise SaleRefused(
            f"Lot {one.lot} is {one.lot.plant} in {one.lot.container}, not {one.plant} in "
            f"{one.container}. Choose another lot.",
            field="lot",
        )
    return HoldLine.objects.create(
        hold=made,
        plant=one.plant,
        container=one.container,
        grade=one.grade,
        lot=one.lot,
        quantity=0,
        unit_price=None if one.unit_price is None else whole_in_currency(one.unit_price),
        ahead=one.ahead or bool(one.lot and not is_ready(one.lot, on)),
    )


def _write_change(held, until, numbers, request_id, by, reverses=None):
    """Write a change of the day and of the numbers, and make the hold so."""
    change = HoldChange(
        hold=held,
        request_id=request_id,
        until_before=held.until,
        until_after=until,
        entered_by=by,
        reverses=reverses,
    )
    change.save(force_insert=True)
    HoldNumber.objects.bulk_create(
        HoldNumber(change=change, line=line, before=line.quantity, after=number)
        for line, number in numbers.items()
    )
    for line, number in numbers.items():
        HoldLine.objects.filter(pk=line.pk).update(quantity=number)
    Hold.objects.filter(pk=held.pk).update(until=until)
    held.until = until
    return change


def _some(wanted):
    wanted = list(wanted)
    if not wanted:
        raise SaleRefused("Choose at least one plant to hold.", field="quantity")
    return wanted


def _refuse_past(until, on):
    if until < on:
        raise SaleRefused(
            f"{day_words(until)} has gone by. Enter a day from {day_words(on)} on.", field="until"
        )


def _refuse_below_taken(numbers):
    for line, number in numbers.items():
        if number < line.taken:
            raise SaleRefused(
                f"{line.taken} of {line.plant} in {line.container} were handed over already; "
                f"the number cannot be {number}. Enter {line.taken} or more, or undo the sale.",
                field="quantity",
            )


def _refuse_undone(change):
    if change.reverses_id or HoldChange.objects.filter(reverses=change).exists():
        raise SaleRefused("This was undone already; there is nothing left to undo.")
