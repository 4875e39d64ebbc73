"""Change what the ledger knows of the nursery itself."""

from decimal import Decimal

from inventory.errors import LedgerError
from inventory.models import Nursery
from inventory.operations.posting import ledger_held
from inventory.queries.money_entered import is_money_entered
from nursery.money import currency_digits


@ledger_held()
def change_nursery(
    *,
    name: str,
    currency: str,
    units: str,
    season_start_month: int,
    season_end_month: int,
    counted_for_price: str = Nursery.Counted.LINE,
    cash_step: Decimal | None = None,
    counts_own_time: bool = True,
    last_frost_month: int | None = None,
    last_frost_day: int | None = None,
    first_frost_month: int | None = None,
    first_frost_day: int | None = None,
) -> Nursery:
    """Write the nursery's settings. The same settings again change nothing.

    Raises LedgerError for another currency once money is entered: the amounts in
    the ledger would keep their figures and change their worth.
    """
    nursery = Nursery.current()
    if not name.strip():
        raise LedgerError("Enter the name that stands on your documents.", field="name")
    _refuse_currency(nursery, currency)
    nursery.name = name.strip()
    nursery.currency, nursery.units = currency, units
    nursery.season_start_month = season_start_month
    nursery.season_end_month = season_end_month
    nursery.counted_for_price = counted_for_price
    nursery.cash_step = cash_step
    nursery.counts_own_time = counts_own_time
    nursery.last_frost_month, nursery.last_frost_day = last_frost_month, last_frost_day
    nursery.first_frost_month, nursery.first_frost_day = first_frost_month, first_frost_day
    nursery.full_clean()
    nursery.save()
    return nursery


@ledger_held()
def show_first_season(*, shown: bool) -> None:
    """Show the steps of a first year on Today, or put them away. Again changes nothing."""
    Nursery.objects.update(shows_first_season=shown)


@ledger_held()
def ask_second_step(*, asked: bool) -> None:
    """Ask everybody for a second step at login, or leave it to each. Again changes nothing."""
    Nursery.objects.update(asks_second_step=asked)


@ledger_held()
def tell_frost(*, frost: str, month: int, day: int) -> None:
    """Set the day about which the `last_frost` or the `first_frost` usually comes."""
    nursery = Nursery.current()
    setattr(nursery, f"{frost}_month", month)
    setattr(nursery, f"{frost}_day", day)
    nursery.save()


def _refuse_currency(nursery, currency):
    try:
        currency_digits(currency)
    except ValueError as error:
        raise LedgerError(str(error), field="currency") from error
    if currency != nursery.currency and is_money_entered():
        raise LedgerError(
            f"Money was entered in {nursery.currency}, so it stays {nursery.currency}. "
            f"For {currency}, begin a ledger of its own.",
            field="currency",
        )
