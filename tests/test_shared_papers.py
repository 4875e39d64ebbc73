"""A link that shows one document without a login, and nothing else."""

import pytest
from django.db import IntegrityError, transaction

from sales import operations
from sales.models import SharedPaper
from tests.factories import NurseryFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def receipt():
    NurseryFactory()
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
