"""One buyer written down twice: made one, and two again."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction

from sales import operations
from sales.errors import SaleRefused
from sales.models import Buyer
from tests.factories import BuyerFactory

pytestmark = pytest.mark.django_db


def two_entries():
    """Return a buyer and the same one as it was written down once more."""
    return BuyerFactory(name="Greenacre Yard"), BuyerFactory(name="Green Acre Yd.")


def merged(kept, double, **more):
    return operations.merge_buyers(kept=kept, merged=double, **({"request_id": uuid4()} | more))


def test_two_entries_become_one_however_often_it_is_sent():
    kept, double = two_entries()
    request_id = uuid4()

    first = merged(kept, double, request_id=request_id)

    assert merged(kept, double, request_id=request_id) == merged(kept, double) == first
    assert set(kept.entries) == set(first.entries) == {kept, double}
    assert (first.kept, kept.kept) == (kept, kept)
    assert list(Buyer.objects.kept()) == [kept]


def test_they_are_two_again_and_an_old_press_does_not_make_them_one():
    kept, double = two_entries()
    request_id = uuid4()
    merged(kept, double, request_id=request_id)

    for _ in range(2):
        operations.split_buyer(buyer=Buyer.objects.get(pk=double.pk))
    merged(kept, double, request_id=request_id)

    assert set(Buyer.objects.kept()) == {kept, double}


def test_what_would_make_a_chain_is_refused():
    kept, double = two_entries()
    third = BuyerFactory(name="Thistle & Stone")
    merged(kept, double)

    with pytest.raises(SaleRefused, match="same as itself"):
        merged(kept, kept)
    with pytest.raises(SaleRefused, match="Keep Greenacre Yard"):
        merged(double, third)
    with pytest.raises(SaleRefused, match="two after all"):
        merged(third, double)
    with pytest.raises(SaleRefused, match="Keep Greenacre Yard instead"):
        merged(third, kept)


def test_the_database_refuses_a_chain_too():
    kept, double = two_entries()
    third = BuyerFactory(name="Thistle & Stone")
    merged(kept, double)

    for buyer, same_as in ((third, double), (kept, third)):
        with pytest.raises(DatabaseError, match="names none itself"), transaction.atomic():
            Buyer.objects.filter(pk=buyer.pk).update(same_as=same_as)
    with pytest.raises(DatabaseError, match="names none itself"), transaction.atomic():
        Buyer.objects.create(name="Fallow Grounds", same_as=double)
