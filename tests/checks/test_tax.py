"""Check sales tax against the Streamlined Sales and Use Tax Agreement, section 324.

The rule was read as enacted (R.I. Gen. Laws 44-18.1-25; N.D.C.C. 57-39.4-25; K.S.A. 79-3676).
"""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nursery.money import round_half_up
from sales.tax import Piece, combined_percent, tax_on, taxes_on

CENT = Decimal("0.01")
PRICES = st.decimals(0, 10_000, places=2)
PERCENTS = st.decimals(0, 30, places=3)
PIECES = st.lists(st.tuples(st.integers(1, 500), PRICES), max_size=8)


def tax_of(lines, percent, basis) -> Decimal:
    """Return the tax on lines of (quantity, price) that bear one rate."""
    pieces = [Piece(quantity, price, "S", percent) for quantity, price in lines]
    return sum((one.amount for one in taxes_on(pieces, 2, basis)[0]), Decimal(0))


@pytest.mark.parametrize(
    ("net", "percent", "tax"),
    [
        # EX-45: inputs Ohio Department of Taxation ST 2005-05, read; output derived.
        ("12.95", "6.25", "0.81"),
        # EX-46: derived.
        ("1.50", "7", "0.11"),
        ("0.50", "5", "0.03"),
        # D5: Python tutorial, Doc/tutorial/stdlib2.rst, read; a float gives 0.73 in all.
        ("0.70", "5", "0.04"),
        # OpenStax, Principles of Accounting 1, section 12.2 (F6), read.
        ("18000", "6", "1080.00"),
    ],
)
def test_tax_is_rounded_half_up_to_the_cent(net, percent, tax):
    assert tax_on(Decimal(net), Decimal(percent), digits=2) == Decimal(tax)


@pytest.mark.parametrize(
    ("raw", "cents"),
    [
        ("0.0449", "0.04"),
        ("0.0450", "0.05"),
        ("0.1250", "0.13"),
        ("1.0050", "1.01"),
        ("2.6750", "2.68"),
    ],
)
def test_the_third_decimal_decides(raw, cents):
    """D4: SSUTA section 324 (S1), read; cases computed."""
    assert tax_on(Decimal(raw), Decimal(100), digits=2) == Decimal(cents)


@pytest.mark.parametrize(
    ("net", "percent", "raw"), [("1.50", "7", "0.105"), ("0.50", "5", "0.025")]
)
def test_halves_to_even_would_be_wrong(net, percent, raw):
    """EX-46."""
    to_even = Decimal(raw).quantize(CENT, ROUND_HALF_EVEN)

    assert tax_on(Decimal(net), Decimal(percent), digits=2) == to_even + CENT


def test_rounding_first_to_the_third_place_would_be_wrong():
    """Derived from SSUTA section 324: 0.0449 by way of 0.045 would become 0.05."""
    assert tax_on(Decimal("0.449"), Decimal(10), digits=2) == Decimal("0.04")


def test_the_seller_elects_item_or_invoice():
    """EX-48: derived from SSUTA section 324."""
    lines = [(3, Decimal("9.99"))]

    assert tax_of(lines, Decimal("6.25"), "item") == Decimal("1.86")
    assert tax_of(lines, Decimal("6.25"), "invoice") == Decimal("1.87")


def test_state_and_local_tax_are_computed_together():
    """EX-50: derived; each alone would add up to 0.23."""
    percent = combined_percent(Decimal("5.75"), Decimal("1.5"))

    assert percent == Decimal("7.25")
    assert tax_on(Decimal("3.10"), percent, digits=2) == Decimal("0.22")
    alone = [tax_on(Decimal("3.10"), Decimal(part), 2) for part in ("5.75", "1.5")]
    assert sum(alone) == Decimal("0.23")


@pytest.mark.parametrize(
    ("net", "percent", "tax"),
    [
        ("1460.50", "25", "365.13"),
        ("-625743.54", "25", "-156435.89"),
        ("1562.39", "25", "390.60"),
        ("183.23", "6", "10.99"),
        ("46.37", "21", "9.74"),
    ],
)
def test_tax_agrees_with_the_official_sample_invoices(net, percent, tax):
    """I3 and I4: EN 16931 validation artefacts, release 1.3.16 (S1), read."""
    assert tax_on(Decimal(net), Decimal(percent), digits=2) == Decimal(tax)


def test_yen_have_no_decimals_and_dinars_three():
    """D11: ISO 4217 minor units."""
    assert tax_on(Decimal(105), Decimal(10), digits=0) == 11
    assert tax_on(Decimal("1.005"), Decimal("10"), digits=3) == Decimal("0.101")


def test_another_basis_is_refused():
    with pytest.raises(ValueError, match="“invoice” or “item”"):
        taxes_on([], 2, "line")


def test_nothing_sold_is_not_taxed():
    assert taxes_on([], 2, "invoice") == taxes_on([], 2, "item") == ([], [])


@given(PIECES, PERCENTS)
def test_a_credit_mirrors_its_invoice_on_either_basis(lines, percent):
    returned = [(-quantity, price) for quantity, price in lines]

    for basis in ("invoice", "item"):
        assert tax_of(returned, percent, basis) == -tax_of(lines, percent, basis)


@given(PRICES, PERCENTS)
def test_the_tax_is_within_half_a_cent_of_exact(net, percent):
    exact = net * percent / 100

    assert abs(tax_on(net, percent, 2) - exact) <= CENT / 2
    assert tax_on(net, percent, 2) == round_half_up(exact, 2)


def test_each_rate_is_rounded_by_itself():
    """I3: official sample 1 of EN 16931 (S1), read: 183.23 at 6 %, 46.37 at 21 %."""
    pieces = [
        Piece(1, Decimal("183.23"), "S", Decimal(6)),
        Piece(1, Decimal("46.37"), "S", Decimal(21)),
    ]

    sums, nets = taxes_on(pieces, 2)

    assert [one.amount for one in sums] == [Decimal("10.99"), Decimal("9.74")]
    assert sum(nets) == Decimal("229.60")


def test_tax_is_taken_out_of_a_price_that_includes_it():
    """Derived: 119.00 at 19 % is 100.00 and 19.00; 9.99 at 7 % is 9.34 and 0.65 (0.6535...)."""
    pieces = [Piece(1, Decimal(119), "S", Decimal(19)), Piece(1, Decimal("9.99"), "S", Decimal(7))]

    sums, nets = taxes_on(pieces, 2, included=True)

    assert [one.amount for one in sums] == [Decimal(19), Decimal("0.65")]
    assert nets == [Decimal(100), Decimal("9.34")]


@given(PIECES, PERCENTS, st.sampled_from(["invoice", "item"]))
def test_what_is_left_of_inclusive_prices_adds_up(lines, percent, basis):
    pieces = [Piece(quantity, price, "S", percent) for quantity, price in lines]

    sums, nets = taxes_on(pieces, 2, basis, included=True)

    asked = sum(quantity * price for quantity, price in lines)
    assert sum(one.together for one in sums) == asked
    assert sum(nets) == sum(one.base for one in sums)
    assert all(net >= 0 and net == round_half_up(net, 2) for net in nets)
