"""What is kept of a buyer: handed over whole, and forgotten but for what law keeps."""

import json
from decimal import Decimal
from io import BytesIO
from uuid import uuid4
from zipfile import ZipFile

import pytest
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from nursery.keeping.ailments.guards import triggers
from sales import operations
from sales.errors import SaleRefused
from sales.models import Buyer, Contact, Document, PlantRequest, RequestedPlants
from sales.operations import Item, sell
from tests.factories import DAY, BuyerFactory, UserFactory, lot_holding

pytestmark = pytest.mark.django_db
NAME, MAIL = "Wilhelmina Quastenfeld", "wilhelmina@quastenfeld.example"


@pytest.fixture
def buyer():
    buyer = BuyerFactory(name=NAME, email=MAIL, phone="555 0147", note="gate code 4711")
    Contact.objects.create(
        buyer=buyer, name="Quastenfeld jr.", phone="555 0148", request_id=uuid4()
    )
    asked = PlantRequest.objects.create(
        name=NAME, email=MAIL, buyer=buyer, received_at=timezone.now(), request_id=uuid4()
    )
    lot = lot_holding(10)
    RequestedPlants.objects.create(
        request=asked, plant=lot.plant, container=lot.container, quantity=3
    )
    item = Item(lot.plant, lot.container, 2, lot=lot, unit_price=Decimal(4))
    sell(items=[item], on=DAY, buyer=buyer, paid_by="cash", request_id=uuid4())
    return buyer


def erase(buyer):
    return operations.erase_buyer(buyer=buyer, request_id=uuid4())


def tables_with(text: str) -> set[str]:
    """Search every column of every table."""
    found = set()
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}" LIMIT 0')
            for name in [column[0] for column in cursor.description]:
                cursor.execute(
                    f'SELECT 1 FROM "{table}" WHERE CAST("{name}" AS TEXT) LIKE %s',
                    [f"%{text}%"],
                )
                if cursor.fetchone():
                    found.add(table)
    return found


def test_only_issued_documents_still_name_an_erased_buyer(buyer):
    assert tables_with("uastenfeld") > {"sales_buyer", "sales_contact", "sales_plantrequest"}

    left = erase(buyer)

    assert str(left) == f"Erased buyer {buyer.pk}"
    assert tables_with("uastenfeld") == {"sales_document"}
    assert not tables_with("gate code") | tables_with("555 014")
    assert Document.objects.get().buyer_name == NAME
    assert erase(buyer).erased_on == timezone.localdate()


def test_a_buyer_with_anything_open_is_not_erased(buyer):
    lot = lot_holding(10, "L2")
    item = Item(lot.plant, lot.container, 1, lot=lot, unit_price=Decimal(4))
    sell(items=[item], on=DAY, buyer=buyer, request_id=uuid4())

    with pytest.raises(SaleRefused, match="is not paid"):
        erase(buyer)
    assert Buyer.objects.get().name == NAME


def test_all_that_is_kept_is_handed_over_as_one_file(client, buyer):
    client.force_login(UserFactory(is_superuser=True))

    answer = client.get(reverse("sales:buyer-facts", args=[buyer.pk]))

    with ZipFile(BytesIO(answer.content)) as pack:
        facts = json.loads(pack.read("facts.json"))
    assert facts["buyer"][0]["email"] == MAIL
    assert {"contact", "document", "document line", "payment", "plant request"} <= set(facts)
    assert "token" not in json.dumps(facts)


def test_the_page_asks_for_the_name_and_only_an_owner_opens_it(client, buyer):
    address = reverse("sales:buyer-erase", args=[buyer.pk])
    client.force_login(UserFactory(role="seller"))
    assert client.post(address, {"name": NAME, "request_id": uuid4()}).status_code == 403

    client.force_login(UserFactory(is_superuser=True))
    wrong = client.post(address, {"name": "Somebody", "request_id": uuid4()})
    assert "Write it as it stands above" in wrong.content.decode()
    right = client.post(address, {"name": NAME, "request_id": uuid4()}, follow=True)
    assert f"What law keeps stands as Erased buyer {buyer.pk}." in right.content.decode()


def test_the_database_keeps_its_guards():
    assert not list(triggers())
