"""Sold plants come back, or a whole sale is undone."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid5

from inventory.models import LossCause, Lot, Movement, Operation
from inventory.operations.leave import draft_return
from inventory.operations.posting import Draft, ledger_held, post, refuse_closed
from inventory.operations.reverse import reverse
from inventory.queries.on_hand import still_out
from sales.errors import SaleRefused
from sales.models import Document, Payment, Take
from sales.operations.account import moved
from sales.operations.at_stand import refuse_counted
from sales.operations.documents import issue_credit, lot_lines
from sales.operations.pay import refuse_used, reverse_rows, write_payments
from sales.operations.sell import document_of_request
from sales.operations.taxing import tax_of_line


def take_back(
    *,
    document: Document,
    plants: Iterable[tuple[Lot, int]],
    on: date,
    restock: bool,
    request_id: UUID,
    cause: LossCause | None = None,
    unit_price: Decimal | None = None,
    note: str = "",
    by=None,
) -> Document:
    """Take plants of a sale back and return the credit note.

    Restocked plants return to their lot at their cost of sale; discarded ones
    are lost. Where a lot was sold at several prices, `unit_price` says which.
    """
    with ledger_held():
        done = document_of_request(request_id)
        if done:
            return done
        chosen = [
            (take, quantity)
            for lot, wanted in plants
            for take, quantity in takes_of(document, lot, wanted, unit_price)
        ]
        if not chosen:
            raise SaleRefused("Say how many plants came back.", field="quantity")
        draft = draft_return(
            [(take.movement, quantity) for take, quantity in chosen],
            on,
            restock=restock,
            cause=cause,
            note=note,
        )
        post(draft, request_id=request_id, by=by)
        return credit_for(document, draft, [take for take, _ in chosen])


def credit_for(document: Document, draft: Draft, takes: list[Take]) -> Document:
    """Issue the credit note for a written return of those takes."""
    returned = [row for row in draft.movements if row.kind == Movement.Kind.RETURNED]
    lines = lot_lines(
        (row, row.to_lot, take.line.unit_price, "as sold", tax_of_line(take.line))
        for row, take in zip(returned, takes, strict=True)
    )
    return issue_credit(document, lines, on=draft.date, note=draft.operation.note)


def undo_sale(*, document: Document, request_id: UUID, by=None) -> None:
    """Undo a sale or a return: plants and money as if it had not been.

    The document stays, with its number, as cancelled. Raises CannotUndo where
    plants came back since, or are gone again, and SaleRefused where the box of the stand
    it was sold at was counted with it.
    """
    with ledger_held():
        refuse_counted(document)
        was_standing = Document.objects.standing().filter(pk=document.pk).exists()
        operations = Operation.objects.filter(movements__take__line__document=document).distinct()
        for operation in operations.order_by("-pk"):
            reverse(
                operation=operation,
                request_id=uuid5(request_id, str(operation.pk)),
                by=by,
            )
        paid = document.payments.in_force().order_by("-pk")
        for payment in paid if was_standing else ():
            _take_off(document, payment, uuid5(request_id, f"payment {payment.pk}"))


def _take_off(document, payment, request_id):
    """Take a payment off a sale that is undone.

    Money that came in together with money for something else is not undone with the sale:
    it goes onto the buyer's account.
    """
    refuse_closed(payment.date)
    together = [payment.head, *payment.head.parts.all()]
    beside = [row for row in together if row.document_id != document.pk]
    if payment.method in Payment.MONEY and beside:
        write_payments(moved(document, -payment.amount), payment.date, request_id)
        return
    rows = [payment]
    if payment.method == Payment.Method.ACCOUNT:
        rows += [row for row in beside if row.method == Payment.Method.ACCOUNT]
    refuse_used(rows)
    reverse_rows(rows, request_id)


def takes_of(document, lot, wanted, unit_price):
    """Yield (take, quantity) of a lot's plants on the document, last line first."""
    if wanted < 1:
        raise SaleRefused("At least one plant comes back.", field="quantity")
    takes = Take.objects.filter(
        line__document=document,
        movement__from_lot=lot,
        movement__operation__reversed_by=None,
    )
    if unit_price is not None:
        takes = takes.filter(line__unit_price=unit_price)
    left = wanted
    for take in takes.select_related(
        "line__document", "movement__from_lot__plant", "movement__from_lot__container"
    ).order_by("-pk"):
        quantity = min(left, still_out(take.movement))
        if quantity:
            left -= quantity
            yield take, quantity
    if left:
        raise SaleRefused(
            f"{wanted - left} plants of lot {lot} are out on {document}; "
            f"{wanted} cannot come back. Check the lot, the document and the number.",
            field="quantity",
        )
