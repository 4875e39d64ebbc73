"""Which tax is in force, and what it means for each plant."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.models import Plant
from nursery.columns import columns_of
from sales.models import PlantTax, TaxCategory, TaxKind, TaxRate
from sales.queries.begun import begun
from sales.tax import combined_percent


@dataclass(frozen=True)
class LineTax:
    """How one line is taxed: the category and percent, what it is called, why nothing is due."""

    category: str
    percent: Decimal = Decimal(0)
    name: str = ""
    reason: str = ""
    made_of: tuple[tuple[str, str, Decimal], ...] = ()

    @property
    def alike(self) -> tuple[str, Decimal]:
        """What lines that are taxed alike have in common."""
        return self.category, self.percent


NOT_TAXED = LineTax(TaxCategory.OUTSIDE, reason="No sales tax was charged")
ZERO_RATED = LineTax(TaxCategory.ZERO, name="Zero rated")


@dataclass(frozen=True)
class TaxInForce:
    """The taxes of one day, for whoever buys."""

    rates: dict[str, list[TaxRate]]
    kinds: dict[int, str] = field(default_factory=dict)

    @property
    def is_any(self) -> bool:
        return bool(self.rates)

    @property
    def latest(self) -> TaxRate | None:
        """The rate set last: it says how tax is rounded and whether prices include it."""
        standing = [rate for rates in self.rates.values() for rate in rates]
        return max(standing, key=lambda rate: (rate.valid_from, rate.pk), default=None)

    @property
    def basis(self) -> str:
        return self.latest.basis if self.latest else TaxRate.Basis.INVOICE

    @property
    def included(self) -> bool:
        return bool(self.latest and self.latest.included)

    def of(self, plant: Plant, exemption: str = "") -> LineTax:
        """Return how a plant is taxed; `exemption` is why its buyer pays none."""
        if not self.rates:
            return NOT_TAXED
        kind = self.kinds.get(plant.pk, TaxKind.STANDARD)
        if kind == TaxKind.ZERO:
            return ZERO_RATED
        if exemption:
            return LineTax(TaxCategory.EXEMPT, reason=exemption)
        return self.at(kind)

    def at(self, kind: str) -> LineTax:
        """Return the tax of one kind, all jurisdictions together."""
        rates = self.rates.get(kind, [])
        if not rates:
            return NOT_TAXED
        return LineTax(
            TaxCategory.STANDARD,
            combined_percent(*(rate.percent for rate in rates)),
            " and ".join(dict.fromkeys(rate.name for rate in rates)),
            made_of=tuple((rate.jurisdiction, rate.name, rate.percent) for rate in rates),
        )


def tax_on_day(on: date) -> TaxInForce:
    """Return the taxes in force that day; a rate of nothing ends its jurisdiction's."""
    standing: dict[tuple[str, str], TaxRate] = {}
    for rate in TaxRate.objects.raw(*begun(TaxRate, columns_of(TaxRate), on)):
        standing[rate.kind, rate.jurisdiction] = rate
    rates: dict[str, list[TaxRate]] = {}
    for (kind, _), rate in sorted(standing.items()):
        rates.setdefault(kind, []).append(rate)
    return TaxInForce(rates, dict(PlantTax.objects.values_list("plant", "kind")) if rates else {})
