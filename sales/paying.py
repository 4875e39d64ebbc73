"""Work out what an amount of money settles, on plain values.

An amount goes to the invoices in the order given, the oldest first. Only the total paid in
cash is rounded: the difference settles the last cents, so that no tax is touched.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from nursery.cash import in_cash

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Settled:
    """What one amount does: for each invoice the money and what is rounded away.

    `over` is more than all that is owed, `left` what stays owed on each.
    """

    payable: Decimal
    money: list[Decimal] = field(default_factory=list)
    rounded: list[Decimal] = field(default_factory=list)
    over: Decimal = NOTHING

    def left(self, owed: Sequence[Decimal]) -> list[Decimal]:
        """Return what stays owed on each invoice."""
        found = zip(owed, self.money, self.rounded, strict=True)
        return [due - money - rounded for due, money, rounded in found]


def settle(owed: Sequence[Decimal], amount: Decimal, step: Decimal = NOTHING) -> Settled:
    """Spread an amount over what is owed on each invoice, in order.

    `step` is the smallest cash where the amount is paid in cash. An amount that comes to
    the whole, as cash can pay it, settles the whole.
    """
    payable = in_cash(sum(owed, NOTHING), step)
    usable = min(amount, payable)
    money, left = [], usable
    for due in owed:
        money.append(min(due, left))
        left -= money[-1]
    rounded = [NOTHING] * len(money)
    if usable == payable and money:
        # Where rounding asks for more than is owed, it comes in with the last invoice.
        money[-1] += left
        rounded = [due - paid for due, paid in zip(owed, money, strict=True)]
    return Settled(payable, money, rounded, amount - usable)


def early_discount(net: Decimal, percent: Decimal | None) -> Decimal:
    """Return what may be kept for paying early: a percent of the amount before tax, exact."""
    return net * (percent or NOTHING) / 100
