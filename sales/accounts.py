"""The accounts the journal posts to, with the code and name each has until it is given others."""

from typing import NamedTuple

from inventory.costing.categories import OWN_TIME, PAID


class Account(NamedTuple):
    """An account: how the ledger calls it, and how the books do."""

    key: str
    code: str
    name: str
    holds: str


OWN = (
    Account("cash", "100", "Cash", "what buyers paid in cash"),
    Account("bank", "110", "Bank", "what buyers paid by card, cheque or transfer"),
    Account("receivable", "120", "Owed by buyers", "invoices less payments and credit notes"),
    Account("stock", "130", "Plants in stock", "the cost of all plants on hand"),
    Account("supplies", "140", "Supplies on hand", "pots, medium and feed not used yet"),
    Account("paid_ahead", "150", "Paid ahead", "film, rent and insurance for days to come"),
    Account("payable", "200", "Supplies bought", "the other side of each purchase of supplies"),
    Account("tax", "210", "Sales tax collected", "tax on documents, until it is sent on"),
    Account("deposits", "220", "On buyers' accounts", "money of buyers that is not used yet"),
    Account("opening", "300", "Opening stock", "the other side of the stock begun with"),
    Account("sales", "400", "Sales of plants", "documents before tax"),
    Account("returns", "410", "Plants returned", "credit notes before tax"),
    Account("discounts", "420", "Discounts for paying early", "what buyers kept back in time"),
    Account("let_go", "430", "Let go", "what was owed and is not asked for any more"),
    Account("cost_of_sales", "500", "Cost of plants sold", "what sold plants had cost"),
    Account("losses", "510", "Plants lost", "cost that went with lost plants"),
    Account("used", "520", "Plants used or given away", "cost that went with them"),
    Account("uncarried", "530", "Cost no plant carries", "cost entered when no plant was there"),
    Account("supplies_missing", "540", "Supplies missing", "what a count did not find"),
    Account("rounding", "550", "Rounding of cash", "what cash could not pay to the cent"),
    Account("over_short", "552", "Cash over or short", "what counting a cash box found"),
    Account("not_paid", "554", "Plants not paid for", "taken from a stand with nobody there"),
    Account("paid_out", "556", "Paid out of a cash box", "small things paid in cash, by receipt"),
    Account("unused_space", "560", "Space nobody used", "the part of bills that no plant bears"),
    Account("time", "600", "Time put into plants", "minutes of paid people at their rate"),
)
FROM = tuple(
    Account(
        f"from_{category}",
        str(610 + 10 * number),
        f"{category.capitalize()} put into plants",
        f"costs entered as {category}, less what came out of the supplies",
    )
    for number, category in enumerate(PAID)
)
HOURS = Account(
    f"from_{OWN_TIME}",
    "710",
    "Own time put into plants",
    "the other side of your own hours; nobody is paid for them",
)
ACCOUNTS = (*OWN, *FROM, HOURS)
