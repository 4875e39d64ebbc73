"""Count money exactly: Decimal in Python, whole millionths of the currency unit in the ledger.

Floats are refused: a tax of 5 percent on 0.70 is 0.735 in decimals and 0.73499… as a float.
"""

import copy
import re
from decimal import Context, Decimal, InvalidOperation
from fractions import Fraction
from functools import cache, lru_cache

from babel import Locale
from babel.numbers import get_currency_precision, list_currencies

MILLION = 1_000_000
DECIMAL_PLACES = 6
# A ledger column is a signed 64-bit integer.
LARGEST_MILLIONTHS = 2**63 - 1
# What one entry may come to, so that no sum of entries outgrows a column: ninety of these would.
LARGEST_AMOUNT = Decimal(10) ** 11
# More than any sum or quotient of amounts has before its point.
MOST_DIGITS = 90

# Where the customs that Babel records (CLDR) leave out minor units that ISO 4217 has.
ISO_4217_DIGITS = {
    "AFN": 2,
    "ALL": 2,
    "IQD": 3,
    "IRR": 2,
    "KPW": 2,
    "LAK": 2,
    "LBP": 2,
    "MGA": 2,
    "MMK": 2,
    "RSD": 2,
    "SOS": 2,
    "SYP": 2,
    "YER": 2,
}

# Wide enough that no amount a ledger can hold, or a sum of them, is ever rounded by accident.
_EXACT = Context(prec=100)

# CLDR asks for a space here, Babel leaves it out: "KWD 1.001", not "KWD1.001".
_LETTER_BESIDE_DIGIT = re.compile(r"(?<=[^\W\d_])(?=\d)|(?<=\d)(?=[^\W\d_])")


class NotAnAmount(ValueError):
    """What is no amount that a ledger can hold; says why."""


def to_millionths(amount: Decimal | int | str) -> int:
    """Return an amount as whole millionths, or raise NotAnAmount where it is not exactly one."""
    value = _decimal(amount)
    # Judged by its leading digit first: shifting 1E+999999 would fill the memory.
    if value.adjusted() > 13 or abs(value) * MILLION > LARGEST_MILLIONTHS:
        raise NotAnAmount(f"{amount} is more than the ledger can hold.")
    if value != value.quantize(Decimal("0.000001"), context=_EXACT):
        raise NotAnAmount(f"{amount} has more than {DECIMAL_PLACES} decimal places.")
    return int(value.scaleb(DECIMAL_PLACES, context=_EXACT))


def from_millionths(millionths: int) -> Decimal:
    """Return whole millionths as a Decimal with six decimal places."""
    return Decimal(millionths).scaleb(-DECIMAL_PLACES, context=_EXACT)


def round_half_up(amount: Decimal | Fraction | int, digits: int) -> Decimal:
    """Round to so many decimal places, a half away from zero.

    Goes by whole numbers, so the value is rounded once and never by a context's precision.
    """
    if isinstance(amount, Decimal) and not amount.is_finite():
        raise NotAnAmount(f"{amount} is not an amount.")
    if isinstance(amount, Decimal) and amount.adjusted() > MOST_DIGITS:
        raise NotAnAmount(f"{amount} is more than the ledger can hold.")
    scaled = abs(Fraction(amount)) * 10**digits
    if scaled > 10**MOST_DIGITS:
        raise NotAnAmount("That is more than the ledger can hold.")
    whole, remainder = divmod(scaled.numerator, scaled.denominator)
    if 2 * remainder >= scaled.denominator:
        whole += 1
    return Decimal(f"{-whole if amount < 0 else whole}E-{digits}")


@cache
def currency_digits(code: str) -> int:
    """Return the digits of a currency's minor unit by ISO 4217: USD 2, JPY 0, KWD 3."""
    if code not in list_currencies():
        raise ValueError(f"“{code}” is not a currency; write three capitals such as USD or EUR.")
    return ISO_4217_DIGITS.get(code, get_currency_precision(code))


def round_to_currency(amount: Decimal | Fraction, code: str) -> Decimal:
    """Round to the currency's minor unit, a half away from zero."""
    return round_half_up(amount, currency_digits(code))


@lru_cache(10_000)
def format_money(
    amount: Decimal | Fraction, code: str, locale: str = "en", digits: int | None = None
) -> str:
    """Write an amount with its currency, as people of that locale write it.

    `digits` asks for other decimals than those of the currency's minor unit.
    """
    digits = currency_digits(code) if digits is None else digits
    place, pattern = _written_in(locale, digits)
    rounded = round_half_up(amount, digits)
    written = pattern.apply(rounded, place, currency=code, currency_digits=False)
    return _LETTER_BESIDE_DIGIT.sub("\u00a0", written)


@cache
def _written_in(locale: str, digits: int):
    """Return a locale and its pattern of money with so many decimals."""
    place = Locale.parse(locale)
    # Babel would use CLDR's digits; a copy of its pattern is told ISO 4217's.
    pattern = copy.copy(place.currency_formats["standard"])
    pattern.frac_prec = (digits, digits)
    return place, pattern


def _decimal(amount: Decimal | int | str) -> Decimal:
    """Read an amount exactly, or raise NotAnAmount."""
    if isinstance(amount, bool) or not isinstance(amount, Decimal | int | str):
        raise NotAnAmount(
            f"{amount!r} is a {type(amount).__name__}; money is a Decimal, a whole number or text."
        )
    try:
        value = Decimal(amount)
    except InvalidOperation:
        raise NotAnAmount(f"“{amount}” is not an amount; write it like 12.50.") from None
    if not value.is_finite():
        raise NotAnAmount(f"{amount} is not an amount of money.")
    return value
