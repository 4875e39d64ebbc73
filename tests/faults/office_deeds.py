"""What is done in the office, by plain facts: for races, which plan themselves."""

from decimal import Decimal
from uuid import UUID

from inventory import operations as growing
from inventory.models import Lot, Operation
from inventory.operations.nursery import change_nursery
from sales import operations
from sales.models import Buyer, Document, Hold
from sales.operations.buyers import add_buyer, merge_buyers


def do_blend(request_id: UUID, *, lot, into, on) -> Operation:
    return growing.blend(
        lot=Lot.objects.get(code=lot),
        to_lot=Lot.objects.get(code=into),
        on=on,
        request_id=request_id,
    )


def do_give(request_id: UUID, *, lot, quantity, on) -> Operation:
    return growing.take_out(
        kind="give", lot=Lot.objects.get(code=lot), quantity=quantity, on=on, request_id=request_id
    )


def do_cost(request_id: UUID, *, lot, amount, on) -> Operation:
    costs = {"feed": Decimal(amount)}
    return growing.add_cost(
        lot=Lot.objects.get(code=lot), costs=costs, on=on, request_id=request_id
    )


def do_close(request_id: UUID, *, on):
    return growing.close_period(last_day=on, request_id=request_id)


def do_buyer(request_id: UUID, *, name) -> Buyer:
    return add_buyer(name=name, request_id=request_id)


def do_merge(request_id: UUID, *, kept, merged) -> Buyer:
    rows = {"kept": Buyer.objects.get(pk=kept), "merged": Buyer.objects.get(pk=merged)}
    return merge_buyers(**rows, request_id=request_id)


def do_deposit(request_id: UUID, *, buyer, amount, on):
    return operations.take_on_account(
        buyer=Buyer.objects.get(pk=buyer),
        amount=Decimal(amount),
        method="cheque",
        on=on,
        request_id=request_id,
    )


def do_use_account(request_id: UUID, *, document, amount, on):
    return operations.use_account(
        document=Document.objects.get(pk=document),
        amount=Decimal(amount),
        on=on,
        request_id=request_id,
    )


def do_let_go(request_id: UUID, *, hold, on):
    return operations.let_go_of_hold(hold=Hold.objects.get(pk=hold), on=on, request_id=request_id)


def do_share(request_id: UUID, *, document):
    return operations.share_document(document=Document.objects.get(pk=document))


def do_letterhead(request_id: UUID, *, terms):
    return operations.change_letterhead(terms=terms)


def do_settings(request_id: UUID, *, name):
    return change_nursery(
        name=name, currency="USD", units="us", season_start_month=4, season_end_month=9
    )
