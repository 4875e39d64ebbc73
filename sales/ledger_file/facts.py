"""What is known of the nursery and of its buyers, in the ledger file.

A row `nursery`, `plant` or `buyer` says one fact: its name in `category`, what it is in `note`.
A row `buyer` without a fact only names a buyer; one written down twice is `same_as` the buyer in
`note`. A `certificate` of `buyer` has its number in `note`,
its issuer in `place`, its first day as the date and its last in `until`. A `contact` is the
`person` to ask for at a buyer's, with the role in `note`, `email` and `phone`. An
`expected_loss` is the percentage in `amount` that a stage, in `category`, is expected to lose
of `plant`, or of every plant. A `target` is the `quantity` of `plant` wanted in `container` by
the day in `until`, in `amount` of a hundred cases.
"""

from collections.abc import Iterator
from datetime import date

from django.core.exceptions import ValidationError
from django.db.models import Model
from django.utils import timezone

from inventory.models import ExpectedLoss, Nursery, Operation, Plant, Target
from inventory.operations.catalogue import expect_loss
from inventory.operations.targets import add_target
from sales.errors import SaleRefused
from sales.ledger_file.book import ImportBook
from sales.ledger_file.raising import raising_facts
from sales.ledger_file.rows import Row
from sales.models import Buyer, Certificate, Contact, Document, Hold, Payment
from sales.operations.buyers import merge_buyers
from sales.operations.certificates import add_certificate
from sales.operations.contacts import add_contact
from sales.operations.letterhead import FACTS, change_letterhead

OF_A_BUYER = (
    *("kind", "price_list", "tax_exempt", "email", "phone", "tax_id", "language"),
    *("address", "street", "postcode", "city", "region", "country", "note", "erased_on"),
)
OF_A_PLANT = ("sized_by", "regulated", "propagation_right", "right_filed_on")
OF_A_PLANT += ("patent_expires", "licence", "royalty")
OF_THE_NURSERY = ("name", *FACTS)
SAME_AS = "same_as"
YES, NO = "yes", "no"


class FactReader:
    """Turns rows into facts; the nursery's wait until its last row, for some need another."""

    def __init__(self, book: ImportBook):
        self.book = book
        self.letterhead: dict[str, str] = {}
        self.last: Row | None = None

    def nursery(self, row: Row) -> None:
        """Take note of a fact of the nursery."""
        name = row.choice("category", OF_THE_NURSERY)
        self.letterhead[name] = _value(row, Nursery, name, row.text("note"))
        self.last = row

    def write_letterhead(self) -> None:
        """Write what rows said of the nursery, if they did; one that has a name keeps it."""
        if not self.letterhead:
            return
        nursery, facts = Nursery.current(), self.letterhead
        self.letterhead = {}
        nursery.name = nursery.name or facts.get("name", "")
        nursery.save()
        try:
            change_letterhead(**{name: facts[name] for name in facts if name != "name"})
        except SaleRefused as error:
            raise self.last.error("note", f"{error.field}: {error}") from error

    def buyer(self, row: Row) -> None:
        """Give a buyer a fact, or only write the buyer down where the row has none."""
        buyer = self.book.buyer(row.needed("buyer", "the name of a buyer"))
        if not row.text("category"):
            return
        name = row.choice("category", (*OF_A_BUYER, SAME_AS))
        text = row.text("note")
        if name == SAME_AS:
            kept = self.book.buyer(row.needed("note", "the name of the buyer who is the same"))
            merge_buyers(kept=kept, merged=buyer, request_id=row.request_id)
            buyer.same_as = kept
            return
        value = row.choice("note", (YES, NO)) == YES if name == "tax_exempt" else text
        setattr(buyer, name, _value(row, Buyer, name, value))
        buyer.save(update_fields=[name])

    def certificate(self, row: Row) -> None:
        """Write down a buyer's certificate."""
        row.needed("note", "the certificate's number")
        add_certificate(
            buyer=self.book.buyer(row.needed("buyer", "whose certificate it is")),
            number=_value(row, Certificate, "number", row.text("note")),
            issuer=_value(row, Certificate, "issuer", row.text("place"), "place"),
            valid_from=row.date,
            valid_until=row.day("until", "its last day") if row.text("until") else None,
            request_id=row.request_id,
        )

    def expected_loss(self, row: Row) -> None:
        """Set the loss expected in a stage, of one plant or of all."""
        stage = row.choice("category", ExpectedLoss.Stage.values)
        percent = _value(
            row, ExpectedLoss, "percent", row.needed("amount", "a percentage"), "amount"
        )
        if not 0 <= percent <= 100:
            raise row.error("amount", f"{percent} is no percentage: write 0 to 100.")
        name = row.text("plant")
        expect_loss(stage=stage, percent=percent, plant=self.book.plant(name) if name else None)

    def plant(self, row: Row) -> None:
        """Say what a plant is sold by, or whose right it is."""
        plant = self.book.plant(row.needed("plant", "the plant's name"))
        name = row.choice("category", OF_A_PLANT)
        setattr(plant, name, _value(row, Plant, name, row.text("note")))
        plant.save(update_fields=[name])

    def target(self, row: Row) -> None:
        """Want plants by a day."""
        assurance = row.text("amount") or str(Target.Assurance.SURELY)
        add_target(
            plant=self.book.plant(row.needed("plant", "the plant's name")),
            container=self.book.containers[row.choice("container", self.book.containers)],
            quantity=row.quantity(),
            ready_by=row.day("until", "the day by which they are to be ready"),
            assurance=_value(row, Target, "assurance", assurance, "amount"),
            note=_value(row, Target, "note", row.text("note")),
            request_id=row.request_id,
        )

    def contact(self, row: Row) -> None:
        """Write down a person at a buyer's."""
        row.needed("person", "the person's name")
        add_contact(
            buyer=self.book.buyer(row.needed("buyer", "where the person is")),
            name=_value(row, Contact, "name", row.text("person"), "person"),
            role=_value(row, Contact, "role", row.text("note")),
            email=_value(row, Contact, "email", row.text("email"), "email"),
            phone=_value(row, Contact, "phone", row.text("phone"), "phone"),
            request_id=row.request_id,
        )


def _value(row: Row, model: type[Model], name: str, value, column: str = "note"):
    """Return a value that the field of that name takes, or raise RowError."""
    field = model._meta.get_field(name)
    try:
        return field.clean(value, None)
    except ValidationError as error:
        known = [key for key, _ in field.flatchoices]
        right = f"write one of {', '.join(known)}." if known else " ".join(error.messages)
        raise row.error(column, f"“{value}” is no {field.verbose_name}: {right}") from None


def fact_rows() -> Iterator[dict]:
    """Yield on the first day what is known of the nursery and its buyers, and what it expects."""
    first = {"date": _first_day()}
    yield from raising_facts(first["date"])
    sources = (_nursery_rows, _plant_rows, _expected_rows, _target_rows, _buyer_rows, _contact_rows)
    for rows in sources:
        for row in rows():
            yield first | row


def certificate_rows() -> Iterator[dict]:
    """Yield the certificates that were not taken off, each on its first day."""
    standing = Certificate.objects.filter(is_withdrawn=False).select_related("buyer")
    for row in standing.order_by("valid_from", "pk"):
        ends = {"until": row.valid_until} if row.valid_until else {}
        who = {"buyer": row.buyer.name, "place": row.issuer, "note": row.number}
        yield {"date": row.valid_from, "event": "certificate", **who, **ends}


def _expected_rows():
    for row in ExpectedLoss.objects.select_related("plant").order_by("plant__name", "stage"):
        plant = {"plant": row.plant.name} if row.plant else {}
        yield {"event": "expected_loss", **plant, "category": row.stage, "amount": row.percent}


def _target_rows():
    for row in Target.objects.filter(is_removed=False).select_related("plant", "container"):
        what = {"plant": row.plant.name, "container": row.container.code, "note": row.note}
        how = {"quantity": row.quantity, "until": row.ready_by, "amount": row.assurance}
        yield {"event": "target", **what, **how}


def _first_day() -> date:
    days = Operation.objects.order_by("date").values_list("date", flat=True)
    return days.first() or timezone.localdate()


def _nursery_rows():
    nursery = Nursery.current()
    for name, text in _facts_of(nursery, OF_THE_NURSERY):
        yield {"event": "nursery", "category": name, "note": text}


def _plant_rows():
    for plant in Plant.objects.order_by("name"):
        for name, text in _facts_of(plant, OF_A_PLANT):
            yield {"event": "plant", "plant": plant.name, "category": name, "note": text}


def _buyer_rows():
    named = (Document, Hold, Payment, Contact, Certificate)
    for buyer in Buyer.objects.select_related("same_as").order_by("name"):
        facts = list(_facts_of(buyer, (*OF_A_BUYER, SAME_AS)))
        for name, text in facts:
            yield {"event": "buyer", "buyer": buyer.name, "category": name, "note": text}
        if not facts and not any(model.objects.filter(buyer=buyer).exists() for model in named):
            yield {"event": "buyer", "buyer": buyer.name}


def _contact_rows():
    for row in Contact.objects.filter(is_former=False).order_by("buyer__name", "name", "pk"):
        who = {"buyer": row.buyer.name, "person": row.name, "note": row.role}
        yield {"event": "contact", **who, "email": row.email, "phone": row.phone}


def _facts_of(party, names):
    """Yield each fact that is not what it is unless said, and its text."""
    for name in names:
        value = getattr(party, name)
        if value != party._meta.get_field(name).get_default():
            yield name, YES if value is True else value
