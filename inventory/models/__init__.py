"""The nouns of the nursery, one file a family."""

from inventory.models.kept import Carried, LotBalance, UncarriedCost
from inventory.models.ledger import CostEntry, Count, Movement, Operation, Placement
from inventory.models.losses import ExpectedLoss, LossCause
from inventory.models.lots import Batch, Lot
from inventory.models.nursery import Nursery
from inventory.models.plants import Container, Place, Plant, StockPlant

__all__ = [
    "Batch",
    "Carried",
    "Container",
    "CostEntry",
    "Count",
    "ExpectedLoss",
    "LossCause",
    "Lot",
    "LotBalance",
    "Movement",
    "Nursery",
    "Operation",
    "Place",
    "Placement",
    "Plant",
    "StockPlant",
    "UncarriedCost",
]
