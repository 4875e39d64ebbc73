"""What a sheet will do, line by line, for its check."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.models import LossCause, Lot
from inventory.operations.lose import Loss, planned_split
from inventory.queries.holding import holdings_of
from inventory.queries.preview import LossCost, cost_of_loss


@dataclass(frozen=True)
class LossLine:
    """One lot of the sheet: what is lost of it, and what that costs."""

    lot: Lot
    held: int
    alive: int
    cause: LossCause
    loss: LossCost
    treatment: object


def loss_lines(form) -> list[LossLine]:
    """Return the lots of a valid sheet that lost plants, each with what the loss costs."""
    on = form.cleaned_data["on"]
    looked = form.looked()
    held = holdings_of([look.lot.pk for look in looked], on)
    lines = []
    for look in looked:
        lost = held[look.lot.pk][0] - look.alive
        if lost <= 0:
            continue
        split = planned_split(Loss(look.lot, lost, look.cause, look.treatment), on)
        loss = cost_of_loss(held[look.lot.pk], *split)
        field = form[f"treatment_{look.lot.pk}"]
        lines.append(LossLine(look.lot, held[look.lot.pk][0], look.alive, look.cause, loss, field))
    return lines


def totals_of(lines: list[LossLine]) -> LossCost:
    """Return the losses of all lines together."""
    losses = [line.loss for line in lines]
    return LossCost(
        sum(loss.normal for loss in losses),
        sum(loss.abnormal for loss in losses),
        sum((loss.carried for loss in losses), Decimal(0)),
        sum((loss.expensed for loss in losses), Decimal(0)),
    )
