"""What buyers ask for on the web: a wish, that takes nothing from stock."""

from django.db import models
from django.db.models import Q

from inventory.models import Container, Plant
from nursery.fields import MoneyField
from sales.models.buyers import Buyer


class PlantRequest(models.Model):
    """Somebody's wish for plants, sent from the list on the web; the grower answers it.

    It holds nothing and promises nothing. `buyer` is known where it came by a link of
    theirs. `origin` is a keyed hash of the address it came from, to limit their number.
    One that is done with was `put_away_on` a day: off the lists, and back by Undo. One that
    nobody known sent is forgotten after a while (`PublicList.request_days`).
    """

    name = models.CharField(max_length=80)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    message = models.TextField(blank=True)
    language = models.CharField(max_length=2, blank=True)
    buyer = models.ForeignKey(
        Buyer, models.PROTECT, null=True, blank=True, related_name="plant_requests"
    )
    received_at = models.DateTimeField(db_index=True)
    origin = models.CharField(max_length=64, db_index=True)
    put_away_on = models.DateField(null=True, blank=True)
    request_id = models.UUIDField(unique=True)

    class Meta:
        ordering = ["-received_at", "-pk"]
        constraints = [
            models.CheckConstraint(name="sales_plantrequest_has_a_name", condition=~Q(name="")),
            models.CheckConstraint(
                name="sales_plantrequest_can_be_answered", condition=~Q(email="", phone="")
            ),
        ]

    def __str__(self):
        return f"Request {self.pk}"

    @property
    def is_put_away(self) -> bool:
        return self.put_away_on is not None


class RequestedPlants(models.Model):
    """A number of plants of one kind in a request, with what the list said of them then."""

    request = models.ForeignKey(PlantRequest, models.PROTECT, related_name="lines")
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="requested")
    container = models.ForeignKey(Container, models.PROTECT, related_name="requested")
    grade = models.CharField(max_length=24, blank=True)
    size = models.CharField(max_length=40, blank=True)
    quantity = models.PositiveIntegerField()
    ready_on = models.DateField(null=True, blank=True)
    unit_price = MoneyField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_requestedplants_are_some", condition=Q(quantity__gte=1)
            ),
            models.CheckConstraint(
                name="sales_requestedplants_price_is_not_negative",
                condition=Q(unit_price__isnull=True) | Q(unit_price__gte=0),
            ),
        ]

    def __str__(self):
        return f"{self.quantity} {self.plant} {self.container}"
