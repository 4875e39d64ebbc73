"""Electronic invoices against the official artefacts of EN 16931, release 1.3.16."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from sales.einvoice.facts import (
    CREDIT_NOTE,
    INVOICE,
    Invoice,
    InvoiceLine,
    Party,
    TaxPart,
    missing_in,
)
from sales.einvoice.xml import cii, ubl
from tests.einvoice_oracle import arithmetic_faults, rules_broken, schema_faults

SELLER = Party(
    "Thrushgate Lane Plants", "DE", "Heckenweg 4", "12345", "Quellenau", tax_id="DE123456789"
)
BUYER = Party("Hollin & Söhne <Gärten>", "FR", "2 rue des Ifs", "69000", "Valcombe")
BOX = InvoiceLine(
    1, "Buxus 'Green Velvet'", "#1", 1200, Decimal("9.50"), 1, Decimal("11400.00"), "S",
    Decimal(19), gtin="4006381333931", lots="BGV-24A",
)  # fmt: skip
# Three for 20.01 with the tax taken out: a net that does not divide by three.
YEW = InvoiceLine(2, "Taxus ×media", "", 3, Decimal("18.70"), 3, Decimal("18.70"), "S", Decimal(7))
HERB = InvoiceLine(3, "Salvia officinalis", "", 2, Decimal("2.5"), 1, Decimal(5), "E", Decimal(0))
WHOLE = Invoice(
    number="2026-0042",
    kind=INVOICE,
    issued_on=date(2026, 4, 11),
    currency="EUR",
    seller=SELLER,
    buyer=BUYER,
    lines=(BOX, YEW, HERB),
    taxes=(
        TaxPart("S", Decimal(19), Decimal("11400.00"), Decimal("2166.00")),
        TaxPart("S", Decimal(7), Decimal("18.70"), Decimal("1.31")),
        TaxPart("E", Decimal(0), Decimal("5.00"), Decimal("0.00"), "Exempt, certificate 12"),
    ),
    due_on=date(2026, 5, 11),
    terms="30 days",
    note="Holes are dug.",
    account="DE89370400440532013000",
    prepaid=Decimal("100.00"),
)
CREDIT = replace(
    WHOLE, kind=CREDIT_NOTE, due_on=None, terms="", prepaid=Decimal(0),
    corrects="2026-0041", corrects_issued_on=date(2026, 4, 1),
)  # fmt: skip
BARE = replace(WHOLE, note="", terms="", account="", prepaid=Decimal(0), lines=(BOX,),
               taxes=WHOLE.taxes[:1])  # fmt: skip
OUTSIDE = replace(
    BARE,
    lines=(replace(BOX, category="O", percent=Decimal(0)),),
    taxes=(TaxPart("O", Decimal(0), BOX.net, Decimal(0), "Not subject to VAT"),),
)


@pytest.mark.parametrize("syntax", [cii, ubl])
@pytest.mark.parametrize(
    "invoice",
    [WHOLE, CREDIT, BARE, OUTSIDE],
    ids=["invoice", "credit note", "the least", "outside tax"],
)
def test_the_official_schemas_and_rules_accept_what_is_written(invoice, syntax):
    xml = syntax(invoice)

    assert schema_faults(xml) == []
    assert rules_broken(xml) == set()
    assert arithmetic_faults(invoice) == []


# Of the changes of one cent and more that the rules were seen to answer.
MUTATIONS = [
    (cii, b"<ram:LineTotalAmount>11423.70", b"<ram:LineTotalAmount>11423.71", "BR-CO-10"),
    (cii, b"<ram:GrandTotalAmount>13591.01", b"<ram:GrandTotalAmount>13591.02", "BR-CO-15"),
    (ubl, b'PayableAmount currencyID="EUR">13491.01', b'PayableAmount currencyID="EUR">13491.02',
     "BR-CO-16"),
    (ubl, b"<cbc:Percent>19</cbc:Percent>", b"<cbc:Percent>18</cbc:Percent>", "BR-S-09"),
]  # fmt: skip


@pytest.mark.parametrize(("syntax", "right", "wrong", "rule"), MUTATIONS)
def test_the_rules_do_answer_a_wrong_invoice(syntax, right, wrong, rule):
    xml = syntax(WHOLE)
    assert right in xml

    assert rule in rules_broken(xml.replace(right, wrong))


@pytest.mark.parametrize("syntax", [cii, ubl])
def test_the_rules_want_the_tax_number_that_is_asked_for(syntax):
    nameless = replace(WHOLE, seller=replace(SELLER, tax_id=""))

    assert "BR-S-02" in rules_broken(syntax(nameless))
    assert missing_in(nameless.seller, nameless.buyer, nameless.taxes) == [
        "the nursery's tax number, under Settings"
    ]


def test_a_tax_cent_the_rules_let_pass_is_seen_by_the_check_in_decimals():
    """The official rules tolerate less than one unit of currency in a tax (BR-CO-17)."""
    taxes = (replace(WHOLE.taxes[0], amount=Decimal("2166.01")), *WHOLE.taxes[1:])
    wrong = replace(WHOLE, taxes=taxes)

    assert rules_broken(ubl(wrong)) == set()
    assert arithmetic_faults(wrong) == ["tax 2166.01 on 11400.00 at 19"]


@pytest.mark.parametrize(
    ("net", "percent", "tax"),
    [
        # Published in the official samples: ubl-tc434-example2, and example1 twice.
        ("1460.50", "25", "365.13"),
        ("183.23", "6", "10.99"),
        ("46.37", "21", "9.74"),
    ],
)
def test_taxes_of_the_official_samples_come_out_to_the_cent(net, percent, tax):
    line = replace(BOX, quantity=1, price=Decimal(net), net=Decimal(net), percent=Decimal(percent))
    part = TaxPart("S", Decimal(percent), Decimal(net), Decimal(tax))
    invoice = replace(BARE, lines=(line,), taxes=(part,))

    assert arithmetic_faults(invoice) == []
    assert rules_broken(cii(invoice)) == set()


def test_what_is_missing_is_said_with_the_place_to_enter_it():
    unsaid = (replace(OUTSIDE.taxes[0], reason=""),)
    wanting = replace(OUTSIDE, buyer=replace(BUYER, country=""), taxes=unsaid)

    assert missing_in(WHOLE.seller, WHOLE.buyer, WHOLE.taxes) == []
    assert missing_in(wanting.seller, wanting.buyer, wanting.taxes) == [
        "the buyer's country, on the buyer's page",
        "the reason why no tax was charged",
    ]
