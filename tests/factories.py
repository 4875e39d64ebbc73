"""Test scenes, built through the operations so that none is a state people cannot reach."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import factory
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group

from inventory import operations
from inventory.models import Container, LossCause, Lot, Nursery, Place, Plant
from sales import operations as sales_operations
from sales.models import Buyer

DAY = date(2025, 4, 10)


class NurseryFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Nursery

    name = "Quiet Bench Plants"
    address = "3 Fallow Row\nEast Thistle"
    currency = "USD"


class UserFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = get_user_model()
        skip_postgeneration_save = True

    username = factory.Sequence("grower-{}".format)
    password = factory.django.Password("cuttings-in-june")

    @factory.post_generation
    def role(user, create, role, **_named):
        """Give a role, a viewer's where none is named: who has none may read nothing."""
        if role != "" and not user.is_superuser:
            user.groups.add(Group.objects.get(name=role or "viewer"))


class PlantFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Plant

    name = factory.Sequence("Buxus sempervirens 'Bench {}'".format)


class PlaceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Place

    name = factory.Sequence("Hoop house {}".format)


class BuyerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Buyer

    name = factory.Sequence("Gardens by Number {}".format)


def exempt_buyer(
    *, number="E-17", issuer="", valid_from=date(2025, 1, 1), valid_until=None, **facts
) -> Buyer:
    """Return a buyer without sales tax who has a certificate."""
    buyer = BuyerFactory(tax_exempt=True, **facts)
    sales_operations.add_certificate(
        buyer=buyer,
        number=number,
        issuer=issuer,
        valid_from=valid_from,
        valid_until=valid_until,
        request_id=uuid4(),
    )
    return buyer


def container(code: str) -> Container:
    """Return a container of the standard rows."""
    return Container.objects.get(code=code)


def cause(code: str) -> LossCause:
    """Return a loss cause of the standard rows."""
    return LossCause.objects.get(code=code)


def lot_holding(
    quantity: int,
    code: str = "L1",
    *,
    size: str = "#1",
    plant: Plant | None = None,
    on: date = DAY,
    batch: str = "",
    kind: str = "stick",
    **costs: str,
) -> Lot:
    """Begin a batch whose first lot holds plants; costs by category, as medium="4.50"."""
    operations.begin(
        kind=kind,
        batch=batch or f"B-{code}",
        lot=code,
        plant=plant or PlantFactory(),
        container=container(size),
        quantity=quantity,
        on=on,
        costs={category: Decimal(amount) for category, amount in costs.items()},
        request_id=uuid4(),
    )
    return Lot.objects.get(code=code)


def give_price(lot: Lot, amount: str | None, *, on: date = DAY, **more) -> None:
    """Set the list price of a lot's plants; more may be list, grade and least."""
    price = sales_operations.NewPrice(
        lot.plant, lot.container, None if amount is None else Decimal(amount), **more
    )
    sales_operations.set_prices(prices=[price], on=on, request_id=uuid4())


def sell_from(lot: Lot, quantity: int, price: str = "10.00", *, on: date = DAY, **more):
    """Sell plants of one lot and return the document."""
    item = sales_operations.Item(
        lot.plant, lot.container, quantity, lot=lot, unit_price=Decimal(price)
    )
    return sales_operations.sell(items=[item], on=on, request_id=uuid4(), **more)
