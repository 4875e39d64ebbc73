"""What an import knows of the ledger it is writing, without asking it again."""

from datetime import date

from inventory.errors import NotEnoughPlants
from inventory.models import (
    Batch,
    Container,
    ExpectedLoss,
    LossCause,
    Lot,
    LotBalance,
    Movement,
    Operation,
    Place,
    Plant,
)
from inventory.names import search_key
from inventory.operations.book import UNROOTED, Book, StageSoFar, expected_percents, stage_of
from inventory.operations.posting import Draft
from sales.models import Buyer


class ImportBook(Book):
    """The ledger with the drafts that are not written yet.

    Remembers, for each lot touched, what later rows ask of it.
    """

    def __init__(self):
        self.lots: dict[str, Lot] = {}
        self.held: dict[int, int] = {}
        self.places_of: dict[int, Place | None] = {}
        self.stages: dict[int, list] = {}
        self.touched: set[int] = set()
        self.begun: set[int] = set()
        self.percents = expected_percents()
        self.containers = {row.code: row for row in Container.objects.all()}
        self.causes = {row.code: row for row in LossCause.objects.all()}
        self.plants = {row.search_key: row for row in Plant.objects.all()}
        self.places = {row.name: row for row in Place.objects.all()}
        self.buyers = {row.name: row for row in Buyer.objects.all()}

    def plant(self, name: str) -> Plant:
        """Return the plant of that name however it is spelt, making it where new."""
        key = search_key(name)
        if key not in self.plants:
            self.plants[key] = Plant.objects.create(name=name)
        return self.plants[key]

    def place_named(self, name: str) -> Place | None:
        """Return the place of that name, making it where new; none for no name."""
        if name and name not in self.places:
            self.places[name] = Place.objects.create(name=name)
        return self.places.get(name)

    def buyer(self, name: str) -> Buyer | None:
        """Return the buyer of that name, making it where new; none for a walk-in."""
        if name and name not in self.buyers:
            self.buyers[name] = Buyer.objects.create(name=name)
        return self.buyers.get(name)

    def lot(self, code: str) -> Lot | None:
        if code not in self.lots:
            found = super().lot(code)
            if found is None:
                return None
            self.lots[code] = found
        return self.lots[code]

    def save_lot(self, lot: Lot) -> None:
        new = lot.pk is None
        lot.save()
        if new:
            LotBalance.objects.create(lot=lot)
            self.held[lot.pk] = 0
            self.places_of[lot.pk] = None
            self.stages[lot.pk] = [False, 0, 0]
        self.lots[lot.code] = lot

    def is_unused(self, lot: Lot) -> bool:
        return lot.pk not in self.touched and (self.held.get(lot.pk) == 0 or super().is_unused(lot))

    def has_begun(self, batch: Batch) -> bool:
        return batch.pk in self.begun or super().has_begun(batch)

    def place(self, lot: Lot, on: date) -> Place | None:
        if lot.pk not in self.places_of:
            self.places_of[lot.pk] = super().place(lot, on)
        return self.places_of[lot.pk]

    def measurement(self, lot: Lot, on: date) -> None:
        """Return nothing: a row says itself which size its plants bring along."""

    def on_hand(self, lot: Lot, on: date) -> int:
        if lot.pk not in self.held:
            self.held[lot.pk] = super().on_hand(lot, on)
        return self.held[lot.pk]

    def expected_percent(self, lot: Lot, stage: str):
        return self.percents.get((lot.plant_id, stage), self.percents.get((None, stage)))

    def stage_so_far(self, lot: Lot, on: date) -> StageSoFar:
        unrooted, started, lost = self._stage(lot, on)
        return StageSoFar(stage_of(lot, rooted=not unrooted), started, lost)

    def record(self, draft: Draft) -> None:
        """Take note of a draft. Raises NotEnoughPlants where a lot runs short."""
        for row in draft.movements:
            if row.batch:
                self.begun.add(row.batch.pk)
            if row.from_lot:
                self._take(row, draft.date)
            if row.to_lot:
                self._bring(row, draft.date)
        for row in draft.counts:
            self.touched.add(row.lot_id)
            if draft.operation.kind == Operation.Kind.ROOT_COUNT:
                self.stages[row.lot_id] = [False, row.found, 0]
        for row in draft.placements:
            self.places_of[row.lot_id] = row.place
        self.touched |= {entry.lot_id for entry in draft.costs}

    def _take(self, row: Movement, on: date) -> None:
        lot = row.from_lot
        held = self.on_hand(lot, on)
        if row.quantity > held:
            raise NotEnoughPlants(lot.code, held=held, wanted=row.quantity, on=on)
        if row.kind == Movement.Kind.LOST:
            self._stage(lot, on)[2] += row.quantity
        self.held[lot.pk] = held - row.quantity
        self.touched.add(lot.pk)

    def _bring(self, row: Movement, on: date) -> None:
        lot = row.to_lot
        held, stage = self.on_hand(lot, on), self._stage(lot, on)
        stage[0] = stage[0] or bool(row.batch and row.batch.kind in UNROOTED)
        stage[1] += row.quantity
        self.held[lot.pk] = held + row.quantity
        self.touched.add(lot.pk)

    def _stage(self, lot, on):
        """Return [unrooted, started, normal losses] of a lot, to be kept up."""
        if lot.pk not in self.stages:
            so_far = super().stage_so_far(lot, on)
            unrooted = so_far.stage == ExpectedLoss.Stage.ROOTING
            self.stages[lot.pk] = [unrooted, so_far.started, so_far.lost]
        return self.stages[lot.pk]
