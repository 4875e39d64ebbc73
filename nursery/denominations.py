"""The coins and notes of a currency, to count a cash box by.

From memory: what each country's bank issues or still takes at face value, by ISO 4217 code.
A currency that is not listed is counted as one sum.
"""

from decimal import Decimal

_CENTS = "0.01 0.02 0.05 0.10 0.20 0.50 1 2"
_DENOMINATIONS = {
    "AUD": "0.05 0.10 0.20 0.50 1 2 5 10 20 50 100",
    "BRL": "0.05 0.10 0.25 0.50 1 2 5 10 20 50 100 200",
    "CAD": "0.05 0.10 0.25 1 2 5 10 20 50 100",
    "CHF": "0.05 0.10 0.20 0.50 1 2 5 10 20 50 100 200 1000",
    "CZK": "1 2 5 10 20 50 100 200 500 1000 2000 5000",
    "DKK": "0.50 1 2 5 10 20 50 100 200 500",
    "EUR": f"{_CENTS} 5 10 20 50 100 200",
    "GBP": f"{_CENTS} 5 10 20 50",
    "HUF": "5 10 20 50 100 200 500 1000 2000 5000 10000 20000",
    "INR": "1 2 5 10 20 50 100 200 500",
    "JPY": "1 5 10 50 100 500 1000 2000 5000 10000",
    "MXN": "0.10 0.20 0.50 1 2 5 10 20 50 100 200 500 1000",
    "NOK": "1 5 10 20 50 100 200 500 1000",
    "NZD": "0.10 0.20 0.50 1 2 5 10 20 50 100",
    "PLN": "0.01 0.02 0.05 0.10 0.20 0.50 1 2 5 10 20 50 100 200 500",
    "SEK": "1 2 5 10 20 50 100 200 500 1000",
    "USD": "0.01 0.05 0.10 0.25 0.50 1 2 5 10 20 50 100",
    "ZAR": "0.10 0.20 0.50 1 2 5 10 20 50 100 200",
}


def denominations(currency: str) -> list[Decimal]:
    """Return the coins and notes of a currency, the largest first; none where unknown."""
    return [Decimal(worth) for worth in reversed(_DENOMINATIONS.get(currency, "").split())]
