"""How strong a rooting hormone is, and how it is diluted.

1 ppm is 1 milligram in a litre and 1 percent is 10,000 ppm: a powder of 0.8 percent has
8,000 ppm (a forest nursery's note on yew; the rest is arithmetic).
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

PPM_IN_ONE_PERCENT = 10_000


@dataclass(frozen=True)
class Dilution:
    """How much of a stock solution and of water make a weaker one, in millilitres."""

    stock_ml: Decimal
    water_ml: Decimal


def dilute(stock_ppm: int, wanted_ppm: int, wanted_ml: Decimal) -> Dilution:
    """Work out a dilution by C1 × V1 = C2 × V2, to the tenth of a millilitre.

    Raises ValueError where the stock is weaker than what is wanted: water only weakens.
    """
    if wanted_ppm > stock_ppm:
        raise ValueError(
            f"A stock of {stock_ppm:,} ppm cannot be diluted to {wanted_ppm:,} ppm: water only "
            "makes it weaker. Take a stronger product."
        )
    stock = (wanted_ml * wanted_ppm / stock_ppm).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return Dilution(stock, wanted_ml - stock)


def milligrams_in(ppm: int, millilitres: Decimal) -> Decimal:
    """Return the milligrams of active ingredient in a solution; 1 ppm is 1 mg in a litre."""
    return ppm * millilitres / 1000
