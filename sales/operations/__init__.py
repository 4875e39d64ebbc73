"""The verbs of selling: the only code of this app that writes."""

from sales.operations.account import (
    give_back,
    keep_on_account,
    let_go,
    take_on_account,
    use_account,
)
from sales.operations.accounts import name_account
from sales.operations.buyers import add_buyer, change_buyer
from sales.operations.letterhead import change_letterhead
from sales.operations.pay import pay, pay_several, undo_payment
from sales.operations.price import set_price
from sales.operations.sell import Item, sell
from sales.operations.take_back import take_back, undo_sale
from sales.operations.tax_rates import drop_tax_rate, set_tax_rate
from sales.operations.undo_price import undo_price

__all__ = [
    "Item",
    "add_buyer",
    "change_buyer",
    "change_letterhead",
    "drop_tax_rate",
    "give_back",
    "keep_on_account",
    "let_go",
    "name_account",
    "pay",
    "pay_several",
    "sell",
    "set_price",
    "set_tax_rate",
    "take_back",
    "take_on_account",
    "undo_payment",
    "undo_price",
    "undo_sale",
    "use_account",
]
