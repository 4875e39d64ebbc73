"""The nouns of the nursery, one file a family."""

from inventory.models.bills import Bill, BillShare, PaidAhead
from inventory.models.calendar_link import CalendarLink
from inventory.models.closing import Closing
from inventory.models.import_draft import ImportDraft
from inventory.models.kept import Carried, LotBalance, UncarriedCost
from inventory.models.ledger import CostEntry, Count, Movement, Operation, Placement
from inventory.models.losses import ExpectedLoss, LossCause
from inventory.models.lots import Batch, Lot
from inventory.models.nursery import Nursery
from inventory.models.photos import Photo
from inventory.models.plants import Container, Place, Plant, StockPlant
from inventory.models.supplies import (
    Person,
    Recipe,
    RecipeLine,
    Supply,
    SupplyEntry,
    WorkEntry,
)

__all__ = [
    "Batch",
    "Bill",
    "BillShare",
    "CalendarLink",
    "Carried",
    "Closing",
    "Container",
    "CostEntry",
    "Count",
    "ExpectedLoss",
    "ImportDraft",
    "LossCause",
    "Lot",
    "LotBalance",
    "Movement",
    "Nursery",
    "Operation",
    "PaidAhead",
    "Person",
    "Photo",
    "Place",
    "Placement",
    "Plant",
    "Recipe",
    "RecipeLine",
    "StockPlant",
    "Supply",
    "SupplyEntry",
    "UncarriedCost",
    "WorkEntry",
]
