"""People in the ledger file: who they are, and the minutes they worked on operations.

`person` says what an hour of someone costs in `price`, and `own` in `treatment` where it is
the grower's own time. `work` writes minutes in `quantity` and what they cost in `amount`;
it belongs to an operation as a `supply_use` does.
"""

from collections.abc import Iterator
from decimal import Decimal

from inventory.costing.categories import OWN_TIME
from inventory.models import Operation, Person, WorkEntry
from inventory.models.supplies import LABOUR
from inventory.operations.posting import Draft
from inventory.operations.supply_catalogue import add_person
from sales.ledger_file.book import ImportBook
from sales.ledger_file.events import charge_lot
from sales.ledger_file.rows import Row

WORK_EVENTS = ("person", "work")
OWN = "own"
LONGEST_NAME = Person._meta.get_field("name").max_length


class WorkReader:
    """Turns rows into people and their work; a person named first is made."""

    def __init__(self, book: ImportBook):
        self.book = book
        self.people = {row.name: row for row in Person.objects.all()}

    def read(self, row: Row, last: Draft | None) -> None:
        """Read a row; `last` is the operation of its day that stands before it, if any."""
        if row.text("event") == "person":
            self._person(row)
        else:
            self._work(row, last)

    def _person(self, row):
        name = row.needed("person", "a person's name")
        own = row.choice("treatment", ("", OWN)) == OWN
        rate = row.number("price", least=Decimal(0))
        if len(name) > LONGEST_NAME:
            raise row.error("person", f"write at most {LONGEST_NAME} letters.")
        if name not in self.people:
            self.people[name] = add_person(name=name, hourly_rate=rate, is_own=own)

    def _work(self, row, last):
        name = row.needed("person", "who worked")
        if name not in self.people:
            raise row.error(
                "person",
                f"there is no {name}; say what an hour costs in an earlier row: event person, "
                "the name in person, the rate in price.",
            )
        if last is None:
            raise row.error(
                "event",
                "no entry of this day stands before this row; put it behind the entry that "
                "the time was for.",
            )
        person = self.people[name]
        entry = WorkEntry(
            operation=last.operation,
            person=person,
            category=row.choice("category", (LABOUR, OWN_TIME), person.category),
            minutes=row.number("quantity", least=Decimal(0)),
            amount=row.money("amount"),
        )
        last.work.append(entry)
        charge_lot(row, self.book, last, entry.category, entry.amount)


def person_rows() -> Iterator[dict]:
    """Yield everybody, on the first day of the ledger."""
    first = Operation.objects.order_by("date").values_list("date", flat=True).first()
    for person in Person.objects.order_by("pk") if first else ():
        yield {
            "date": first,
            "event": "person",
            "person": person.name,
            "price": person.hourly_rate,
            "treatment": OWN if person.is_own else "",
        }


def work_row(entry: WorkEntry) -> dict:
    """Return the row of minutes worked on an operation."""
    return {
        "event": "work",
        "note": "",
        "person": entry.person.name,
        "quantity": entry.minutes,
        "category": entry.category,
        "amount": entry.amount,
    }
