"""The verbs of the nursery: the only code that writes the ledger."""

from inventory.operations.begin import begin
from inventory.operations.bench import note_bench, put_bench_note_back, remove_bench_note
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
from inventory.operations.methods import (
    add_method,
    add_step,
    copy_method,
    copy_starter,
    edit_method,
    edit_step,
    put_method_back,
    put_step_back,
    remove_method,
    remove_step,
)
from inventory.operations.paid_ahead import charge_part, pay_ahead, undo_paid_ahead
from inventory.operations.photos import add_photo, put_photo_back, remove_photo
from inventory.operations.reverse import reverse
from inventory.operations.spraying import put_spraying_back, remove_spraying, spray
from inventory.operations.steps import (
    enter_for_step,
    say_how_raised,
    tick_step,
    tick_steps,
    untick_step,
    untick_steps,
)
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
    "add_method",
    "add_photo",
    "add_step",
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
    "copy_method",
    "copy_starter",
    "count",
    "edit_method",
    "edit_step",
    "enter_bill",
    "enter_for_step",
    "forget_draft",
    "keep_draft",
    "make_calendar_link",
    "match_columns",
    "measure_lot",
    "move",
    "note_bench",
    "pay_ahead",
    "pot_up",
    "put_bench_note_back",
    "put_method_back",
    "put_photo_back",
    "put_spraying_back",
    "put_step_back",
    "put_target_back",
    "remove_bench_note",
    "remove_method",
    "remove_photo",
    "remove_spraying",
    "remove_step",
    "remove_target",
    "renew_calendar_link",
    "reopen",
    "restart_calendar_link",
    "reverse",
    "root_count",
    "say_how_raised",
    "spray",
    "stop_calendar_link",
    "take_out",
    "tick_step",
    "tick_steps",
    "undo_bill",
    "undo_paid_ahead",
    "untick_step",
    "untick_steps",
    "write_off",
]
