"""The nouns of selling, one file a family."""

from sales.models.accounts import AccountName
from sales.models.buyers import Buyer, Contact
from sales.models.certificates import Certificate, CertificateFile
from sales.models.documents import Document, DocumentLine, DocumentTax, Take, TaxCategory
from sales.models.found import FoundAtSale
from sales.models.holds import (
    HandedOver,
    Hold,
    HoldChange,
    HoldDeposit,
    HoldLine,
    HoldNumber,
)
from sales.models.labels import LabelStock, SharedPaper
from sales.models.open_sales import OpenSale
from sales.models.payments import Payment
from sales.models.prices import ArticleNumber, Price, PriceList
from sales.models.public_list import BuyerLink, ListNews, Numbers, PublicList
from sales.models.requests import PlantRequest, RequestedPlants
from sales.models.stand import (
    BoxEntry,
    StandCount,
    StandDay,
    StandPlants,
    StandSale,
    StandStep,
)
from sales.models.taxes import PlantTax, TaxKind, TaxRate

__all__ = [
    "AccountName",
    "ArticleNumber",
    "BoxEntry",
    "Buyer",
    "BuyerLink",
    "Certificate",
    "CertificateFile",
    "Contact",
    "Document",
    "DocumentLine",
    "DocumentTax",
    "FoundAtSale",
    "HandedOver",
    "Hold",
    "HoldChange",
    "HoldDeposit",
    "HoldLine",
    "HoldNumber",
    "LabelStock",
    "ListNews",
    "Numbers",
    "OpenSale",
    "Payment",
    "PlantRequest",
    "PlantTax",
    "Price",
    "PriceList",
    "PublicList",
    "RequestedPlants",
    "SharedPaper",
    "StandCount",
    "StandDay",
    "StandPlants",
    "StandSale",
    "StandStep",
    "Take",
    "TaxCategory",
    "TaxKind",
    "TaxRate",
]
