"""The nouns of selling, one file a family."""

from sales.models.accounts import AccountName
from sales.models.buyers import Buyer
from sales.models.documents import Document, DocumentLine, Take
from sales.models.holds import HandedOver, Hold, HoldChange, HoldLine, HoldNumber
from sales.models.payments import Payment
from sales.models.prices import ArticleNumber, Price, PriceList, TaxRate

__all__ = [
    "AccountName",
    "ArticleNumber",
    "Buyer",
    "Document",
    "DocumentLine",
    "HandedOver",
    "Hold",
    "HoldChange",
    "HoldLine",
    "HoldNumber",
    "Payment",
    "Price",
    "PriceList",
    "Take",
    "TaxRate",
]
