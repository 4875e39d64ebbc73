"""A link that shows one document without a login, and nothing else."""

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from sales import operations
from sales.models import SharedPaper
from tests.factories import BuyerFactory, NurseryFactory, UserFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def receipt():
    NurseryFactory()
    UserFactory()
    return sell_from(lot_holding(10), 2, "14.50", paid_by="cash")


def test_a_document_shared_twice_has_one_link(receipt):
    first = operations.share_document(document=receipt)
    again = operations.share_document(document=receipt)

    assert again == first
    assert SharedPaper.objects.count() == 1


def test_links_cannot_be_guessed_from_each_other(receipt):
    other = sell_from(lot_holding(10, "L2"), 1, paid_by="cash")
    tokens = [operations.share_document(document=one).token for one in (receipt, other)]

    # 192 bits in base64 are 32 letters: from memory, RFC 4648 section 5.
    assert [len(token) for token in tokens] == [32, 32]
    assert len(set(tokens)) == 2
    assert not any(receipt.number in token for token in tokens)


def test_a_stopped_link_is_back_by_undo_and_a_new_one_is_another(receipt):
    link = operations.share_document(document=receipt)
    operations.stop_sharing(shared=link)
    assert not receipt.shares.filter(is_withdrawn=False).exists()

    assert operations.share_again(shared=link).token == link.token
    operations.stop_sharing(shared=link)
    new = operations.share_document(document=receipt)

    assert new.token != link.token
    assert operations.share_again(shared=link) == new, "one link stands at a time"


def test_the_database_refuses_a_second_link_and_a_short_token(receipt):
    link = operations.share_document(document=receipt)

    with pytest.raises(IntegrityError), transaction.atomic():
        SharedPaper.objects.create(document=receipt, token="x" * 32)
    with pytest.raises(IntegrityError), transaction.atomic():
        SharedPaper.objects.create(document=receipt, token="short", is_withdrawn=True)
    assert list(receipt.shares.all()) == [link]


@pytest.fixture
def stand(client, receipt):
    client.force_login(UserFactory(is_superuser=True))
    return client


def link_of(document):
    return reverse("sales:shared", args=[operations.share_document(document=document).token])


def test_a_link_shows_its_receipt_without_a_login(client, receipt):
    page = client.get(link_of(receipt))

    text = page.content.decode()
    assert f"Receipt {receipt.number}" in text and "29.00" in text
    assert page["Cache-Control"] == "no-store"
    assert page["X-Robots-Tag"] == "noindex, nofollow"
    assert page["Referrer-Policy"] == "no-referrer"
    assert "Log in" not in text and "/invoices/" not in text


def test_a_link_gives_the_pdf_of_its_receipt_too(client, receipt):
    answer = client.get(f"{link_of(receipt)}paper.pdf")

    assert answer["Content-Type"] == "application/pdf"
    assert answer["Cache-Control"] == "no-store"


def test_nothing_else_is_reached_by_a_link(client, receipt):
    other = sell_from(lot_holding(10, "L2"), 1, paid_by="cash")
    link_of(receipt)

    for guess in (other.number, receipt.number, str(receipt.pk), "x" * 32):
        assert client.get(reverse("sales:shared", args=[guess])).status_code == 404
    assert client.get(reverse("sales:document", args=[other.pk])).status_code == 302


def test_a_link_says_no_more_of_a_buyer_than_the_paper(client, receipt):
    buyer = BuyerFactory(name="Fallow Grounds", phone="555-0199", note="pays late", language="de")
    sold = sell_from(lot_holding(10, "L2"), 1, "8.00", buyer=buyer)

    text = client.get(link_of(sold)).content.decode()

    assert "Rechnung" in text and "Fallow Grounds" in text
    assert "555-0199" not in text and "pays late" not in text


def test_a_stopped_link_leads_nowhere(stand, receipt):
    address = link_of(receipt)
    stop = reverse("sales:share-stop", args=[receipt.shares.get().pk])

    stand.post(stop)
    assert stand.get(address).status_code == 404
    assert stand.get(f"{address}paper.pdf").status_code == 404

    stand.post(reverse("sales:share-again", args=[receipt.shares.get().pk]))
    assert stand.get(address).status_code == 200


def test_the_stand_shows_a_code_for_the_buyers_phone(stand, receipt):
    address = reverse("sales:share", args=[receipt.pk])
    assert "Make the link" in stand.get(address).content.decode()
    assert not receipt.shares.exists(), "looking makes no link"

    page = stand.post(address, follow=True).content.decode()

    assert f"http://testserver{link_of(receipt)}" in page
    assert "<svg" in page and "Stop sharing" in page


def test_who_may_not_sell_shares_nothing(client, receipt):
    client.force_login(UserFactory())

    assert client.post(reverse("sales:share", args=[receipt.pk])).status_code == 403
    assert not receipt.shares.exists()
