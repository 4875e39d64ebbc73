"""The verbs of the nursery: the only code that writes the ledger."""

from inventory.operations.begin import begin
from inventory.operations.bills import enter_bill, undo_bill
from inventory.operations.bring_in import Standing, bring_in, bring_in_draft
from inventory.operations.calendar_links import (
    make_calendar_link,
    renew_calendar_link,
    restart_calendar_link,
    stop_calendar_link,
)
from inventory.operations.closing import close_period, reopen
from inventory.operations.grow import blend, move, pot_up
from inventory.operations.import_drafts import (
    answer_draft,
    choose_sheet,
    forget_draft,
    keep_draft,
    match_columns,
)
from inventory.operations.leave import add_cost, take_out
from inventory.operations.lose import Loss, count, root_count, write_off
from inventory.operations.measure import Measured, measure_lot
from inventory.operations.paid_ahead import charge_part, pay_ahead, undo_paid_ahead
from inventory.operations.photos import add_photo, put_photo_back, remove_photo
from inventory.operations.reverse import reverse
from inventory.operations.targets import (
    add_target,
    change_target,
    put_target_back,
    remove_target,
)

__all__ = [
    "Loss",
    "Measured",
    "Standing",
    "add_cost",
    "add_photo",
    "add_target",
    "answer_draft",
    "begin",
    "blend",
    "bring_in",
    "bring_in_draft",
    "change_target",
    "charge_part",
    "choose_sheet",
    "close_period",
    "count",
    "enter_bill",
    "forget_draft",
    "keep_draft",
    "make_calendar_link",
    "match_columns",
    "measure_lot",
    "move",
    "pay_ahead",
    "pot_up",
    "put_photo_back",
    "put_target_back",
    "remove_photo",
    "remove_target",
    "renew_calendar_link",
    "reopen",
    "restart_calendar_link",
    "reverse",
    "root_count",
    "stop_calendar_link",
    "take_out",
    "undo_bill",
    "undo_paid_ahead",
    "write_off",
]
