"""Check that money is exact in the ledger and rounded as ISO 4217 and the law ask."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iso4217 import Currency

from nursery.money import (
    LARGEST_MILLIONTHS,
    MILLION,
    currency_digits,
    format_money,
    from_millionths,
    round_half_up,
    round_to_currency,
    to_millionths,
)

# AED to ZWG; metals, funds and test codes have no minor unit. XAD is newer than Babel's data.
SPENT = [c for c in Currency if c.exponent is not None and c.code != "XAD"]
MILLIONTHS = st.integers(-LARGEST_MILLIONTHS, LARGEST_MILLIONTHS)


@pytest.mark.parametrize(
    ("code", "digits"),
    [
        *(("USD", 2), ("EUR", 2), ("JPY", 0), ("ISK", 0), ("KWD", 3)),
        *(("BHD", 3), ("CLF", 4), ("HUF", 2), ("MGA", 2)),
    ],
)
def test_currencies_have_the_digits_of_iso_4217(code, digits):
    """D11; for MGA, CLDR says 0."""
    assert currency_digits(code) == digits


@pytest.mark.parametrize("currency", SPENT, ids=lambda currency: currency.code)
def test_every_currency_agrees_with_an_independent_table(currency):
    """Oracle: the package iso4217."""
    assert currency_digits(currency.code) == currency.exponent


@pytest.mark.parametrize("code", ["", "usd", "US", "QQQ", "dollar"])
def test_what_is_no_currency_is_refused(code):
    with pytest.raises(ValueError, match="write three capitals"):
        currency_digits(code)


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [
        # D6: Council Regulation (EC) 1103/97 art. 5 (S1).
        (Decimal("24.784"), "24.78"),
        (Decimal("24.785"), "24.79"),
        (Fraction(500) / Fraction("239.640"), "2.09"),
        (Fraction(1_000) / Fraction("239.640"), "4.17"),
        # D5: Python tutorial, Doc/tutorial/stdlib2.rst, read.
        (Decimal("0.70") * Decimal("1.05"), "0.74"),
        # D12 and I4: a half goes away from zero on either side.
        (Decimal("-0.125"), "-0.13"),
        (Decimal("-156435.885"), "-156435.89"),
        (Decimal("79.665"), "79.67"),
    ],
)
def test_halves_go_away_from_zero(amount, rounded):
    assert round_to_currency(amount, "EUR") == Decimal(rounded)


def test_rounding_goes_by_the_currency():
    assert round_to_currency(Decimal("100.5"), "JPY") == 101
    assert round_to_currency(Decimal("1.0005"), "KWD") == Decimal("1.001")
    assert str(round_to_currency(Decimal(1), "USD")) == "1.00"


def test_a_loss_too_small_to_show_has_no_minus_sign():
    assert str(round_half_up(Decimal("-0.001"), 2)) == "0.00"


@given(st.decimals(-(10**12), 10**12, allow_nan=False), st.integers(0, 6))
def test_rounding_agrees_with_the_decimal_module(amount, digits):
    step = Decimal(1).scaleb(-digits)

    assert round_half_up(amount, digits) == amount.quantize(step, ROUND_HALF_UP)


@pytest.mark.parametrize(
    ("amount", "millionths"),
    [
        (Decimal("0.70"), 700_000),
        ("12.345678", 12_345_678),
        (" -0.000001 ", -1),
        (3, 3 * MILLION),
        ("1E+3", 1_000 * MILLION),
        ("1.50000000", 1_500_000),
        ("9223372036854.775807", LARGEST_MILLIONTHS),
    ],
)
def test_amounts_become_whole_millionths(amount, millionths):
    assert to_millionths(amount) == millionths


@pytest.mark.parametrize(
    ("amount", "reason"),
    [
        (0.7, "is a float"),
        (True, "is a bool"),
        (None, "is a NoneType"),
        ("0.0000001", "more than 6 decimal places"),
        ("NaN", "not an amount"),
        (Decimal("sNaN"), "not an amount"),
        (Decimal("-Infinity"), "not an amount"),
        ("twelve", "write it like 12.50"),
        ("", "write it like 12.50"),
        ("1E+999999", "more than the ledger can hold"),
        ("9223372036854.775808", "more than the ledger can hold"),
        ("1E-999999", "more than 6 decimal places"),
    ],
)
def test_what_cannot_be_kept_exactly_is_refused(amount, reason):
    with pytest.raises(ValueError, match=reason):
        to_millionths(amount)


@given(MILLIONTHS)
def test_millionths_go_there_and_back(millionths):
    amount = from_millionths(millionths)

    assert amount.as_tuple().exponent == -6
    assert to_millionths(amount) == millionths
    assert to_millionths(str(amount)) == millionths


@pytest.mark.parametrize(
    ("amount", "code", "locale", "written"),
    [
        ("1234.565", "USD", "en", "$1,234.57"),
        ("-1234.5", "EUR", "de", "-1.234,50\u00a0€"),
        ("1234.5", "JPY", "en", "¥1,235"),
        ("1.0005", "KWD", "en", "KWD\u00a01.001"),
        ("1234.5", "MGA", "en", "MGA\u00a01,234.50"),
    ],
)
def test_money_is_written_as_its_readers_write_it(amount, code, locale, written):
    """Unicode CLDR's patterns by way of Babel, ISO 4217's digits (D11)."""
    assert format_money(Decimal(amount), code, locale) == written
