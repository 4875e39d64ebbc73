"""The verbs of the nursery: the only code that writes the ledger."""

from inventory.operations.begin import begin
from inventory.operations.grow import blend, move, pot_up
from inventory.operations.leave import add_cost, take_out
from inventory.operations.lose import Loss, count, root_count, write_off
from inventory.operations.reverse import reverse

__all__ = [
    "Loss",
    "add_cost",
    "begin",
    "blend",
    "count",
    "move",
    "pot_up",
    "reverse",
    "root_count",
    "take_out",
    "write_off",
]
