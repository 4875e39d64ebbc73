"""Deposits: what was paid ahead for holds, and what of it still lies on the buyers' accounts."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import F, QuerySet, Sum

from sales.models import Buyer, Hold, HoldDeposit, HoldLine, Payment
from sales.queries.on_account import free_on_account

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Deposit:
    """What was paid ahead for a hold, less what went back; used of it; left on the account."""

    paid: Decimal = NOTHING
    used: Decimal = NOTHING
    left: Decimal = NOTHING


NO_DEPOSIT = Deposit()


def deposits_of(holds: Iterable[Hold], on: date) -> dict[int, Deposit]:
    """Return {hold: its deposit} for those of some holds that have one.

    Money on an account bears no mark. What invoices of the hold took off the account is
    used, and no more is left than the account has free.
    """
    holds = {hold.pk: hold for hold in holds}
    in_force = HoldDeposit.objects.filter(hold__in=holds, payment__reversed_by=None)
    sums = in_force.order_by().values("hold").annotate(sum=Sum("payment__amount"))
    paid = dict(sums.values_list("hold", "sum"))
    if not paid:
        return {}
    used = _used_of(paid)
    free = {buyer: free_on_account(buyer, on) for buyer in {holds[pk].buyer for pk in paid}}
    return {
        pk: Deposit(
            amount,
            min(used.get(pk, NOTHING), amount),
            max(min(amount - used.get(pk, NOTHING), free[holds[pk].buyer]), NOTHING),
        )
        for pk, amount in paid.items()
    }


def deposit_of(hold: Hold, on: date) -> Deposit:
    """Return the deposit of one hold, of nothing where there is none."""
    return deposits_of([hold], on).get(hold.pk, NO_DEPOSIT)


def deposit_rows(hold: Hold) -> QuerySet:
    """Return what was paid ahead for a hold and paid back of it, the latest first."""
    rows = Payment.objects.filter(hold_deposit__hold=hold, reversed_by=None)
    return rows.exclude(method=Payment.Method.ROUNDING).order_by("-date", "-pk")


def kept_for_holds(buyer: Buyer, on: date) -> Decimal:
    """Return what of a buyer's account is kept as deposits of holds with plants to hand over."""
    lines = HoldLine.objects.filter(hold__buyer__in=buyer.entries, hold__deposits__isnull=False)
    waiting = lines.with_taken().filter(quantity__gt=F("taken")).values("hold")
    deposits = deposits_of(Hold.objects.filter(pk__in=waiting).select_related("buyer"), on)
    return sum((deposit.left for deposit in deposits.values()), NOTHING)


def free_beside_deposits(buyer: Buyer, on: date) -> Decimal:
    """Return what of a buyer's account can pay for anything: deposits wait for their holds."""
    return max(free_on_account(buyer, on) - kept_for_holds(buyer, on), NOTHING)


def _used_of(holds: Iterable[int]) -> dict[int, Decimal]:
    """Return {hold: what its invoices took off the account}."""
    way = "document__lines__takes__movement__handed_over__line__hold"
    rows = Payment.objects.in_force().filter(
        **{f"{way}__in": list(holds)}, method=Payment.Method.ACCOUNT, amount__gt=0
    )
    used: dict[int, Decimal] = {}
    for hold, _, amount in rows.order_by().values_list(way, "pk", "amount").distinct():
        used[hold] = used.get(hold, NOTHING) + amount
    return used
