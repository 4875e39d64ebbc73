"""The nouns of selling, one file a family."""

from sales.models.accounts import AccountName
from sales.models.buyers import Buyer
from sales.models.documents import Document, DocumentLine, Take
from sales.models.payments import Payment
from sales.models.prices import Price, TaxRate

__all__ = [
    "AccountName",
    "Buyer",
    "Document",
    "DocumentLine",
    "Payment",
    "Price",
    "Take",
    "TaxRate",
]
