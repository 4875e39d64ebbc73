"""Work out what a new line, or the undoing of an old one, does to all that follows."""

from dataclasses import dataclass, field
from datetime import date

from inventory.costing.replay import COLUMN, less, plus, replay
from inventory.queries import ledger_rows

ROW = 9


@dataclass
class Settlement:
    """What must be written beside the ledger after a change to it."""

    balances: dict[int, list[int]] = field(default_factory=dict)
    carried: dict[int, tuple[int, list[int]]] = field(default_factory=dict)
    uncarried: dict[int, bool] = field(default_factory=dict)


def settle_new(rows: list[tuple], on: date) -> Settlement:
    """Settle new lines of `on` or later, by date; they stand last among those of their date.

    The keys of `rows` are the caller's own negative numbers. Raises Overdrawn.
    """
    return _settle(rows, on, first_operation=None)


def settle_undone(operation) -> Settlement:
    """Settle the ledger as if `operation` had never been. Raises Overdrawn."""
    lots = {
        lot for pair in operation.movements.values_list("from_lot", "to_lot") for lot in pair if lot
    } | set(operation.costs.values_list("lot", flat=True))
    return _settle([], operation.date, operation.pk, lots)


def _settle(new_rows, on, first_operation, lots=None):
    lots = lots or {lot for row in new_rows for lot in (row[5], row[6]) if lot}
    holdings, last_on = ledger_rows.kept_holdings(lots)
    later, since = [], on
    if first_operation is None:
        first_operation, since = 0, on + date.resolution
    if lots and (first_operation or any(last > on.isoformat() for last in last_on)):
        later = ledger_rows.later_rows(sorted(lots), since, first_operation)
    if later:
        lots |= ledger_rows.reached_lots(sorted(lots), since)
        holdings, _ = ledger_rows.kept_holdings(lots)
        _take_back(holdings, later)
    staying = [row for row in later if row[1] != first_operation]
    taken_back = {row[3] for row in later if not row[2]}
    return _apply(new_rows, staying, holdings, taken_back)


def _take_back(holdings, later):
    """Turn `holdings` into what they were before the `later` lines."""
    for _, _, is_cost, _, kind, source, target, count, _, after, *costs in later:
        if is_cost:
            if not after and source in holdings:
                holdings[source] = holdings[source].copy()
                holdings[source][COLUMN[kind]] -= count
            continue
        carried = [count, *costs]
        if source in holdings:
            holdings[source] = plus(holdings[source], carried)
        if target in holdings:
            holdings[target] = less(holdings[target], carried)


def _apply(new_rows, later, holdings, taken_back):
    """Replay; the movements `taken_back`, undone ones among them, count as not yet made."""
    rows = _in_order([row[:ROW] for row in later], new_rows)
    kept = {(row[2], row[3]): (row[9], [0 if row[2] else row[7], *row[10:]]) for row in later}
    outside = {key: vector for (is_cost, key), (_, vector) in kept.items() if not is_cost}
    keys = {row[3] for row in rows if not row[2]}
    given_back = {row[8] for row in rows if row[8] is not None}
    given = {
        movement: ledger_rows.left_to_give_back(movement, but_not=taken_back)
        for movement in given_back - keys
    }
    settlement = Settlement(balances=holdings)
    results = replay(rows, holdings, given=given, watched=given_back & keys, outside=outside)
    for row, (key, carried, after) in zip(rows, results, strict=True):
        before = kept.get((row[2], key))
        if carried is None:
            if before is None or before[0] != after:
                settlement.uncarried[key] = bool(after)
        elif before != (after, carried):
            settlement.carried[key] = (after, carried)
    return settlement


def _in_order(later, new_rows):
    """Return the lines by date, the new ones last; a database may give a date as text."""
    if later and new_rows:
        return sorted([*later, *new_rows], key=lambda row: str(row[0]))
    return later or new_rows
