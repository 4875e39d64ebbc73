"""Print a report on standard output."""

from datetime import date
from decimal import Decimal, InvalidOperation

from django.core.management.base import CommandError

from inventory.costing.categories import CATEGORIES, PAID
from inventory.errors import LedgerError
from nursery.homes import replica
from nursery.management.ledger_command import LedgerCommand
from nursery.printing import FORMATS, printed
from sales.queries.margin import KEYS
from sales.queries.valuation import METHODS
from sales.reports import REPORTS

OWN_TIME = {"with": CATEGORIES, "without": PAID}


class Command(LedgerCommand):
    help = "Print a report of the ledger that DATABASE_URL names."

    def add_arguments(self, parser):
        parser.add_argument("name", choices=sorted(REPORTS))
        parser.add_argument("--format", choices=FORMATS, default="table")
        parser.add_argument("--on", "--to", type=_day, help="as it stood at the end of that day")
        parser.add_argument(
            "--since",
            "--from",
            type=_day,
            help="margin, losses, year, journal, buyers, tax: from that day",
        )
        parser.add_argument("--by", choices=sorted([*KEYS, "batch"]), default="lot")
        parser.add_argument("--method", choices=sorted(METHODS), default="cost", help="valuation")
        parser.add_argument(
            "--selling", type=_percent, default=Decimal(0), help="costs to sell, percent of price"
        )
        parser.add_argument(
            "--own-time", choices=OWN_TIME, default="with", help="the grower's hours in the cost"
        )
        parser.add_argument("--container", default="")
        parser.add_argument("--plant", default="")
        parser.add_argument("--lot", default="")
        parser.add_argument("--batch", default="")
        parser.add_argument("--document", default="")

    def handle(self, *args, name, format, own_time, **options):
        try:
            rows = replica.read(lambda: REPORTS[name](counted=OWN_TIME[own_time], **options))
        except LedgerError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(printed(rows, format))


def _day(text):
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise CommandError(f"{text} is not a date; write 2026-04-30.") from error


def _percent(text):
    try:
        percent = Decimal(text)
    except InvalidOperation as error:
        raise CommandError(f"{text} is not a percent; write 12.5.") from error
    if not 0 <= percent <= 100:
        raise CommandError(f"{text} is not a percent of a price; it lies between 0 and 100.")
    return percent
