"""Take down what buyers ask for on the web, and put it away when it is done with."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from inventory.operations.posting import ledger_held
from inventory.size_words import TOLD
from nursery.context import current_nursery
from sales.documents.words import say
from sales.errors import SaleRefused
from sales.models import Buyer, Hold, PlantRequest, PublicList, RequestedPlants
from sales.public import PublicLine
from sales.queries.requests import forgettable_requests

WHILE = timedelta(hours=1)
# Of one address in an hour, and of all together: a flood that gets by the first stops here.
MOST_OF_ONE, MOST_OF_ALL = 5, 40
MOST_LINES, MOST_PLANTS, LONGEST_MESSAGE = 60, 100_000, 2_000


@dataclass(frozen=True)
class Wish:
    """Plants of one line of the list that somebody asks for."""

    line: PublicLine
    quantity: int


def ask_for_plants(
    *,
    name: str,
    wishes: Sequence[Wish],
    origin: str,
    request_id: UUID,
    email: str = "",
    phone: str = "",
    message: str = "",
    language: str = "",
    buyer: Buyer | None = None,
) -> PlantRequest:
    """Take down what somebody asks for, and tell the grower by e-mail; nothing is held.

    The same request again returns the first. Raises SaleRefused, in the language spoken,
    without a name, a way to answer or anything asked for, for more than fits, and where too
    many came from one address or in all within an hour.
    """
    name, email, phone, message = (text.strip() for text in (name, email, phone, message))
    with ledger_held():
        if done := PlantRequest.objects.filter(request_id=request_id).first():
            return done
        _refuse_unanswerable(name, email, phone)
        _refuse_too_much(wishes, message)
        _refuse_flood(origin)
        asked = PlantRequest.objects.create(
            name=name,
            email=email,
            phone=phone,
            message=message,
            language=language,
            buyer=buyer,
            received_at=timezone.now(),
            origin=origin,
            request_id=request_id,
        )
        RequestedPlants.objects.bulk_create(_row(asked, wish) for wish in wishes)
        transaction.on_commit(lambda: _tell_the_grower(asked), robust=True)
        return asked


def put_request_away(*, asked: PlantRequest, by=None) -> None:
    """Take a request that is done with off the lists; `take_request_up` undoes it."""
    with ledger_held():
        PlantRequest.objects.filter(pk=asked.pk).filter(put_away_on=None).update(
            put_away_on=timezone.localdate()
        )


def take_request_up(*, asked: PlantRequest, by=None) -> None:
    """Put a request back among those to be answered."""
    with ledger_held():
        PlantRequest.objects.filter(pk=asked.pk).update(put_away_on=None)


def forget_requests(*, by=None) -> int:
    """Forget the requests of strangers that are older than they are kept; return how many.

    Holds that were made for them stay. It cannot be undone; once more finds none.
    """
    if not forgettable_requests(timezone.localdate()).exists():
        return 0
    with ledger_held():
        return drop_requests(forgettable_requests(timezone.localdate()))


def drop_requests(asked: QuerySet) -> int:
    """Delete requests with what they ask for, within a verb; return how many."""
    keys = list(asked.values_list("pk", flat=True))
    Hold.objects.filter(asked__in=keys).update(asked=None)
    RequestedPlants.objects.filter(request__in=keys).delete()
    PlantRequest.objects.filter(pk__in=keys).delete()
    return len(keys)


def _row(asked, wish):
    line = wish.line
    return RequestedPlants(
        request=asked,
        plant_id=line.plant_pk,
        container_id=line.container_pk,
        grade=line.grade,
        size=TOLD[line.sized_by].format(size=line.size) if line.size else "",
        quantity=wish.quantity,
        ready_on=line.ready_on,
        unit_price=line.price,
    )


def _refuse_unanswerable(name, email, phone):
    if not name:
        raise SaleRefused(say("Please give your name."), field="name")
    if not (email or phone):
        raise SaleRefused(
            say("Please give an e-mail address or a phone number, so that we can answer."),
            field="email",
        )


def _refuse_too_much(wishes, message):
    if not wishes and not message:
        raise SaleRefused(say("Please say how many plants you want, or write a message."))
    if len(wishes) > MOST_LINES or len(message) > LONGEST_MESSAGE:
        raise SaleRefused(say("That is more than fits into one request. Please send it in parts."))
    if any(not 1 <= wish.quantity <= MOST_PLANTS for wish in wishes):
        raise SaleRefused(say("Please give each number of plants as a whole number."))


def _refuse_flood(origin):
    lately = PlantRequest.objects.filter(received_at__gt=timezone.now() - WHILE)
    if lately.filter(origin=origin).count() >= MOST_OF_ONE or lately.count() >= MOST_OF_ALL:
        raise SaleRefused(
            say("Many requests came in within the hour. Please try later, or call us.")
        )


def _tell_the_grower(asked):
    """Send the grower a line; what is asked for is read in the ledger."""
    row = PublicList.objects.first()
    to = (row and row.email) or current_nursery().email
    if not to:
        return
    words = [f"{line.quantity} × {line.plant}, {line.container}" for line in asked.lines.all()]
    body = "\n".join([asked.name, asked.email, asked.phone, "", *words, "", asked.message])
    name = " ".join(asked.name.split())
    reply = [asked.email] if asked.email else None
    message = EmailMessage(
        f"{asked}: {name} asks for plants", body, settings.DEFAULT_FROM_EMAIL, [to], reply_to=reply
    )
    message.send()
