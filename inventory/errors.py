"""What the ledger refuses, worded for the person at the bench."""

from datetime import date, timedelta


class LedgerError(Exception):
    """A refusal: what is wrong and what would be right. Nothing was written.

    `field` names the form field or file column at fault, where there is one.
    """

    field = ""

    def __init__(self, message: str, *, field: str = ""):
        super().__init__(message)
        self.field = field or self.field


class NotEnoughPlants(LedgerError):
    """More plants would leave a lot than it holds at that moment."""

    field = "quantity"

    def __init__(self, lot_code: str, *, held: int, wanted: int, on: date):
        self.lot_code, self.held, self.wanted, self.on = lot_code, held, wanted, on
        super().__init__(
            f"Lot {lot_code} held {held} on {on.isoformat()}; {wanted} cannot be taken. "
            "Check the number, the date and the lot, or count the lot first."
        )


class LotMismatch(LedgerError):
    """Plants of one kind or container would join a lot of another."""

    field = "to_lot"


class AlreadyUndone(LedgerError):
    """The operation was undone before."""

    def __init__(self):
        super().__init__("This was undone already; there is nothing left to undo.")


class CannotUndo(LedgerError):
    """Something that came later rests on the operation."""


class PeriodClosed(LedgerError):
    """The day lies in a closed period."""

    field = "on"

    def __init__(self, on: date, closed_to: date):
        self.first_open = closed_to + timedelta(days=1)
        super().__init__(
            f"{on.isoformat()} is closed: the books are closed up to {closed_to.isoformat()}. "
            f"The first open day is {self.first_open.isoformat()}. Use that day, or let the "
            "owner open the period again."
        )
