"""The nouns of the nursery, one file a family."""

from inventory.models.bills import Bill, BillShare, PaidAhead
from inventory.models.calendar_link import CalendarLink
from inventory.models.closing import Closing
from inventory.models.import_draft import ImportDraft
from inventory.models.kept import Carried, LotBalance, UncarriedCost
from inventory.models.ledger import CostEntry, Count, Measurement, Movement, Operation, Placement
from inventory.models.losses import ExpectedLoss, LossCause
from inventory.models.lots import Batch, HormoneForm, Lot, Wood
from inventory.models.methods import BenchNote, Method, MethodStep, StepDone
from inventory.models.nursery import Nursery
from inventory.models.photos import Photo
from inventory.models.plants import Container, Place, Plant, StockPlant
from inventory.models.spraying import Spraying
from inventory.models.supplies import (
    Person,
    Recipe,
    RecipeLine,
    Supply,
    SupplyEntry,
    WorkEntry,
)
from inventory.models.targets import Target

__all__ = [
    "Batch",
    "BenchNote",
    "Bill",
    "BillShare",
    "CalendarLink",
    "Carried",
    "Closing",
    "Container",
    "CostEntry",
    "Count",
    "ExpectedLoss",
    "HormoneForm",
    "ImportDraft",
    "LossCause",
    "Lot",
    "LotBalance",
    "Measurement",
    "Method",
    "MethodStep",
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
    "Spraying",
    "StepDone",
    "StockPlant",
    "Supply",
    "SupplyEntry",
    "Target",
    "UncarriedCost",
    "Wood",
    "WorkEntry",
]
