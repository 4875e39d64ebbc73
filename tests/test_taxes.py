"""Several taxes, plants taxed otherwise, and prices that include the tax."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from nursery.demo import import_ledger
from sales import operations
from sales.models import Buyer, Document, PlantTax, TaxRate
from sales.queries.margin import margin_by
from sales.queries.proof import document_differences
from sales.queries.taxes import tax_on_day
from tests.factories import DAY, NurseryFactory, UserFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db
BEGIN = date(2020, 1, 1)


def rate(percent, **more):
    return TaxRate.objects.create(**{"percent": Decimal(percent), "valid_from": BEGIN} | more)


def taxes_of(document):
    return [(tax.category, tax.percent, tax.base, tax.amount) for tax in document.taxes.all()]


def test_the_taxes_of_state_and_county_are_added_up():
    """EX-50, derived: 5.75 and 1.5 percent on 3.10 are 0.22; each alone would be 0.23."""
    rate("5.75", jurisdiction="State")
    rate("1.5", jurisdiction="Alder County", name="County tax")

    document = sell_from(lot_holding(5), 1, "3.10")

    assert taxes_of(document) == [("S", Decimal("7.25"), Decimal("3.10"), Decimal("0.22"))]
    (tax,) = document.taxes.all()
    assert tax.name == "County tax and Sales tax"
    assert tax.made_of == [
        ["Alder County", "County tax", "1.5000"],
        ["State", "Sales tax", "5.7500"],
    ]


def test_a_rate_of_nothing_ends_a_jurisdiction():
    rate("6", jurisdiction="State")
    rate("1", jurisdiction="County")
    rate("0", jurisdiction="County", valid_from=date(2024, 1, 1))

    assert tax_on_day(date(2023, 12, 31)).at("standard").percent == 7
    assert tax_on_day(date(2024, 1, 1)).at("standard").percent == 6


def test_plants_taxed_otherwise_stand_apart_on_one_document():
    """I3: official sample 1 of EN 16931, read: 183.23 at 6 %, 46.37 at 21 %, 250.33 in all."""
    rate("21")
    rate("6", kind="reduced")
    shrub, herb = lot_holding(5, "L1"), lot_holding(5, "L2")
    PlantTax.objects.create(plant=herb.plant, kind="reduced")

    items = [
        operations.Item(lot.plant, lot.container, 1, lot, Decimal(price))
        for lot, price in ((shrub, "46.37"), (herb, "183.23"))
    ]
    document = operations.sell(items=items, on=DAY, request_id=uuid4())

    assert [amount for *_, amount in taxes_of(document)] == [Decimal("9.74"), Decimal("10.99")]
    assert document.total == Decimal("250.33")


def test_a_zero_rated_plant_bears_no_tax_and_says_so(client):
    rate("6")
    lot = lot_holding(5)
    PlantTax.objects.create(plant=lot.plant, kind="zero")

    document = sell_from(lot, 2, "5.00")

    assert taxes_of(document) == [("Z", 0, 10, 0)]
    client.force_login(UserFactory(is_superuser=True))
    page = client.get(reverse("sales:document", args=[document.pk])).content.decode()
    assert "Zero rated" in page


def test_tax_is_taken_out_of_prices_that_include_it():
    """Derived: 3 at 9.99 are 29.97; 29.97 × 19 / 119 is 4.7851..., 4.79; 25.18 is left."""
    rate("19", included=True)
    lot = lot_holding(10, medium="10.00")

    document = sell_from(lot, 3, "9.99", paid_by="cash")

    assert (document.net, document.tax, document.total) == (
        Decimal("25.18"), Decimal("4.79"), Decimal("29.97"),
    )  # fmt: skip
    (row,) = margin_by("lot")
    assert (row.revenue, row.cost_of_sales) == (Decimal("25.18"), 3)
    assert not list(document_differences())


@pytest.mark.parametrize("included", [True, False])
def test_credits_together_give_back_what_the_document_bore(included):
    rate("7.75", included=included)
    document = sell_from(lot_holding(10), 3, "9.99")
    lot = document.lines.get().takes.get().movement.from_lot

    for _ in range(3):
        operations.take_back(
            document=document, plants=[(lot, 1)], on=DAY, restock=True, request_id=uuid4()
        )

    credits = Document.objects.filter(corrects=document)
    assert sum(credit.net for credit in credits) == document.net
    assert sum(credit.tax for credit in credits) == document.tax
    assert not list(document_differences())


def test_verify_names_a_document_whose_taxes_do_not_add_up():
    rate("6")
    document = sell_from(lot_holding(5), 1, "5.00")
    document.taxes.model.objects.create(
        document=document, category="Z", base=Decimal(1), amount=Decimal(0)
    )

    assert f"Document {document}: its taxes come to 6" in next(document_differences())


def test_an_exempt_sale_survives_the_ledger_file(tmp_path):
    NurseryFactory()
    file = tmp_path / "ledger.csv"
    file.write_text(
        "date,event,batch,lot,plant,container,place,quantity,category,amount,treatment,buyer,price,document,note\n"
        "2025-01-01,tax,,,,,Alder County,,,6,invoice included,,,,County tax\n"
        "2025-01-01,tax,,,Malus domestica,,,,zero,,,,,,\n"
        "2025-03-01,receive,B1,L1,Thuja plicata,#1,,10,plants,20,,,,,\n"
        "2025-04-01,sale,,L1,,,,1,,,exempt,Fallow Grounds,9.00,2025-0001,\n"
        "2025-04-02,sale,,L1,,,,1,,,,,10.60,2025-0002,\n",
        "utf-8",
    )

    import_ledger(file)

    exempt, taxed = Document.objects.order_by("number")
    assert taxes_of(exempt) == [("E", 0, 9, 0)]
    assert taxes_of(taxed) == [("S", 6, 10, Decimal("0.60"))]
    assert PlantTax.objects.get().plant.name == "Malus domestica"
    assert not Buyer.objects.get().tax_exempt


def test_a_plants_tax_is_set_and_set_back(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    plant = lot_holding(5).plant
    address = reverse("sales:tax-plant")

    for kind, found in (("zero", 1), ("standard", 0)):
        data = {"request_id": str(uuid4()), "plant": plant.pk, "kind": kind}
        page = client.post(address, data, follow=True).content.decode()
        assert "from now on" in page
        assert PlantTax.objects.count() == found
