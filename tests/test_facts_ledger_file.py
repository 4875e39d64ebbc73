"""What is known of buyers and of the nursery survives an export into an empty ledger."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import ExpectedLoss, Nursery, Target
from inventory.operations.catalogue import expect_loss
from inventory.operations.targets import add_target
from sales import operations
from sales.ledger_file.facts import OF_A_BUYER
from sales.ledger_file.rows import RowError
from sales.models import Buyer, Certificate, Contact, Document, TaxRate
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    container,
    exempt_buyer,
    lot_holding,
    sell_from,
)
from tests.test_ledger_file import assert_survives_the_way_out_and_in, exported, left_behind, read

pytestmark = pytest.mark.django_db

FACTS = {
    "kind": "trade",
    "price_list": "stand",
    "email": "yard@fallow.example",
    "phone": "555 0177",
    "tax_id": "12-3456",
    "language": "fr",
    "address": "behind the mill,\nsecond gate",
    "country": "US",
    "note": "gate code\n4711",
}
WANTED = {"container": "#1", "quantity": 80, "assurance": 95, "note": "for the fair"}
WANTED |= {"ready_by": date(2028, 4, 1)}
HEAD = "date,event,buyer,category,note,place,until,person,email,phone,amount\n"


def known_by_name():
    """Write down two buyers with all there is to know, and sell to one of them."""
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    buyer = exempt_buyer(name="Fallow Grounds", **FACTS, valid_until=DAY, issuer="the county")
    who = {"buyer": buyer, "email": "", "phone": "555 0178", "request_id": uuid4()}
    operations.add_contact(name="Ann Marsh", role="foreman", **who)
    BuyerFactory(name="Never Bought")
    lot = lot_holding(20)
    sell_from(lot, 2, "10.00", buyer=buyer, on=DAY)
    sell_from(lot, 2, "10.00", buyer=buyer, on=DAY + timedelta(1))


def test_what_is_known_of_buyers_survives_the_way_out_and_in():
    assert_survives_the_way_out_and_in(known_by_name, DAY)


def test_a_buyer_is_who_they_were_after_an_import():
    with left_behind():
        known_by_name()
        file = exported()
    read(file)

    buyer = Buyer.objects.get(name="Fallow Grounds")
    assert {name: getattr(buyer, name) for name in FACTS} == FACTS and buyer.tax_exempt
    assert str(Certificate.objects.get()) == "E-17, the county"
    assert Certificate.objects.get().valid_until == DAY
    assert [(one.name, one.role, one.phone) for one in Contact.objects.all()] == [
        ("Ann Marsh", "foreman", "555 0178")
    ]
    reasons = Document.objects.order_by("date").values_list("taxes__reason", "tax")
    assert list(reasons) == [("Exempt, certificate E-17, the county", 0), ("", Decimal("1.2"))]


def test_a_sale_taxed_before_its_certificate_came_stays_taxed():
    def late_certificate():
        TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
        buyer = BuyerFactory(name="Fallow Grounds", tax_exempt=True)
        sell_from(lot_holding(9), 2, "10.00", buyer=buyer, on=DAY)
        facts = {"number": "E-18", "valid_from": date(2020, 1, 1), "request_id": uuid4()}
        operations.add_certificate(buyer=buyer, **facts)

    with left_behind():
        late_certificate()
        file = exported()
    read(file)

    assert ",taxed,Fallow Grounds," in file and exported() == file
    assert Document.objects.get().tax == Decimal("1.20")


def test_the_letterhead_survives_and_a_name_given_since_stays():
    facts = {"street": "3 Fallow Row", "passport_country": "FR", "passport_registration": "FR-07"}
    with left_behind():
        NurseryFactory()
        operations.change_letterhead(**facts, credit_prefix="")
        file = exported()
    Nursery(name="Another Name").save()
    read(file)

    nursery = Nursery.current()
    assert {name: getattr(nursery, name) for name in facts} == facts
    assert (nursery.name, nursery.credit_prefix) == ("Another Name", "")


def test_the_losses_expected_and_what_is_wanted_survive():
    with left_behind():
        plant = lot_holding(9).plant
        expect_loss(stage="rooting", percent=Decimal("12.5"))
        expect_loss(stage="growing", percent=Decimal(4), plant=plant)
        add_target(plant=plant, **WANTED | {"container": container("#1")}, request_id=uuid4())
        file = exported()
    read(file)

    expected = ExpectedLoss.objects.order_by("stage")
    assert [(str(one.plant or ""), one.stage, one.percent) for one in expected] == [
        (plant.name, "growing", 4),
        ("", "rooting", Decimal("12.5")),
    ]
    wanted = Target.objects.values(*WANTED, "container__code").get()
    assert {name: wanted[name] for name in WANTED} == WANTED | {"container": wanted["container"]}
    assert wanted["container__code"] == WANTED["container"]
    assert exported() == file


def test_nothing_known_keeps_the_plain_file_and_what_was_taken_off_stays_off():
    buyer = exempt_buyer(valid_until=DAY)
    operations.remove_certificate(certificate=buyer.certificates.get())
    Buyer.objects.update(tax_exempt=False)
    sell_from(lot_holding(9), 2, buyer=buyer)

    file = exported()

    assert not {"until", "email", "phone", "person"} & set(file.partition("\n")[0].split(","))
    assert ",buyer," not in file.partition("\n")[2] and ",certificate," not in file


def test_an_erased_buyer_stays_erased():
    with left_behind():
        buyer = BuyerFactory(name="Fallow Grounds")
        sell_from(lot_holding(9), 2, buyer=buyer, on=DAY, paid_by="cash")
        name = str(operations.erase_buyer(buyer=buyer, request_id=uuid4()))
        file = exported()
    read(file)

    imported = Buyer.objects.get(name=name)
    assert imported.erased_on == timezone.localdate() and exported() == file
    # Another who is erased takes no name that came with the file.
    Buyer.objects.filter(pk=imported.pk).update(name=f"Erased buyer {imported.pk + 1}")
    other = BuyerFactory(pk=imported.pk + 1)
    assert (
        str(operations.erase_buyer(buyer=other, request_id=uuid4()))
        == f"Erased buyer {other.pk + 1}"
    )


def test_every_fact_of_a_buyer_is_in_the_file_or_is_known_not_to_be():
    elsewhere = {"id", "name", "same_as", "merge_request_id"}
    elsewhere |= {"terms_days", "discount_percent", "discount_days"}
    assert {field.name for field in Buyer._meta.fields} == elsewhere | set(OF_A_BUYER)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("buyer,,kind,trade,,,,,", "column buyer: empty"),
        ("buyer,Fen,colour,red,,,,,", "column category: “colour” is not known"),
        ("buyer,Fen,kind,king,,,,,", "column note: “king” is no kind: write one of landscaper"),
        ("buyer,Fen,email,x,,,,,", "column note: “x” is no email"),
        ("buyer,Fen,tax_exempt,maybe,,,,,", "column note: “maybe” is not known"),
        ("nursery,,iban,DE00,,,,,", "column note: iban: These are not the letters"),
        ("nursery,,passport_country,FR,,,,,", "passport_registration: A registration has"),
        ("certificate,Fen,,,,,,,", "column note: empty; write the certificate's number"),
        ("certificate,Fen,,E-1,,2024-01-01,,,", "column until: It ends before it begins"),
        ("certificate,Fen,,E-1,,soon,,,", "column until: “soon” is not a date"),
        ("contact,Fen,,foreman,,,Ann,,", "column phone: Write a phone number"),
        ("contact,Fen,,,,,,,5550178", "column person: empty"),
        ("expected_loss,,winter,,,,,,,4", "column category: “winter” is not known"),
        ("expected_loss,,growing,,,,,,,104", "column amount: 104 is no percentage"),
        ("expected_loss,,growing,,,,,,,", "column amount: empty; write a percentage"),
        ("target,,,,,,,,,90", "column plant: empty"),
    ],
)
def test_a_wrong_row_says_what_would_be_right(row, problem):
    with pytest.raises(RowError, match=problem):
        read(f"{HEAD}2025-04-10,{row}\n")
    assert not Buyer.objects.exists() and not Nursery.objects.exists()
