"""The verbs of selling: the only code of this app that writes."""

from sales.operations.pay import pay, undo_payment
from sales.operations.price import set_price
from sales.operations.sell import Item, sell
from sales.operations.take_back import take_back, undo_sale

__all__ = ["Item", "pay", "sell", "set_price", "take_back", "undo_payment", "undo_sale"]
