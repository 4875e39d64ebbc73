"""What a stand day comes to: plants out, sold and back, the money that should be in the box."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum
from django.db.models.functions import Coalesce

from nursery.fields import MoneyField
from sales.models import (
    BoxEntry,
    Document,
    DocumentLine,
    Payment,
    StandCount,
    StandDay,
    StandPlants,
    StandStep,
)
from sales.queries.put_out import sold_of_lots

NOTHING = Decimal(0)
FOUND = (BoxEntry.Kind.OVER_SHORT, BoxEntry.Kind.NOT_PAID)


@dataclass
class StandFigures:
    """A stand day in figures. `money` is by method what was paid at its sales at once.

    `box` is by kind what joined the box beside them, or left it.
    """

    day: StandDay
    out: int = 0
    back: int = 0
    missing: int = 0
    sold: int = 0
    sales: int = 0
    revenue: Decimal = NOTHING
    total: Decimal = NOTHING
    money: dict[str, Decimal] = field(default_factory=dict)
    box: dict[str, Decimal] = field(default_factory=dict)
    closing: StandStep | None = None
    count: StandCount | None = None

    @property
    def cash_sales(self) -> Decimal:
        return self.money.get(Payment.Method.CASH, NOTHING)

    @property
    def card_sales(self) -> Decimal:
        return self.money.get(Payment.Method.CARD, NOTHING)

    @property
    def other_sales(self) -> Decimal:
        """What was sold and neither went into the box nor through the card reader."""
        return self.total - self.cash_sales - self.card_sales

    @property
    def moved(self) -> Decimal:
        """What a person put into the box beside sales, less what was taken out."""
        return sum((self.box.get(kind, NOTHING) for kind in BoxEntry.BY_HAND), NOTHING)

    @property
    def expected(self) -> Decimal:
        """What should be in the box: its float, cash sales, less what was given out."""
        return self.day.began_with + self.cash_sales + self.moved

    @property
    def counted(self) -> Decimal | None:
        return self.count.cash if self.count else None

    @property
    def over_short(self) -> Decimal:
        """What the box held more than expected, or less."""
        return sum((self.box.get(kind, NOTHING) for kind in FOUND), NOTHING)

    @property
    def apart(self) -> Decimal:
        """How much is over, short or not paid, above nothing."""
        return abs(self.over_short)

    @property
    def not_paid(self) -> Decimal:
        """What plants taken from an unattended stand were worth and nobody paid."""
        return -self.box.get(BoxEntry.Kind.NOT_PAID, NOTHING)

    @property
    def card_difference(self) -> Decimal | None:
        """What the card reader says more than the sales noted, or less."""
        if self.count is None or self.count.card is None:
            return None
        return self.count.card - self.card_sales

    @property
    def closed_on(self) -> date | None:
        return self.closing.date if self.closing else None


def figures_of(day: StandDay) -> StandFigures:
    """Return one day's figures."""
    return figures_of_days([day])[0]


def figures_of_days(days: Iterable[StandDay]) -> list[StandFigures]:
    """Return the figures of some days, in their order."""
    found = {day.pk: StandFigures(day) for day in days}
    if found:
        _add_plants(found)
        _add_sales(found)
        _add_money(found)
        _add_counts(found)
    return list(found.values())


def _add_plants(found):
    rows = StandPlants.objects.filter(
        step__day__in=found, step__reverses=None, step__reversed_by=None
    )
    still: dict[tuple, int] = defaultdict(int)
    for day, lot, number in rows.values_list("step__day", "lot", "quantity"):
        still[day, lot] += number
        if number > 0:
            found[day].out += number
        else:
            found[day].back -= number
    sold = sold_of_lots(found)
    for (day, lot), number in still.items():
        if not found[day].day.is_open:
            found[day].missing += max(0, number - sold.get((day, lot), 0))


def _add_sales(found):
    documents = Document.objects.standing().filter(stand_sale__day__in=found)
    for day, net, tax in documents.values_list("stand_sale__day", "net", "tax"):
        found[day].sales += 1
        found[day].revenue += net
        found[day].total += net + tax
    lines = DocumentLine.objects.filter(document__in=documents.values("pk"))
    sums = lines.order_by().values_list("document__stand_sale__day").annotate(Sum("quantity"))
    for day, number in sums:
        found[day].sold = number


def _add_money(found):
    rows = Payment.objects.in_force().filter(
        Q(stand_sale__day__in=found) | Q(part_of__stand_sale__day__in=found)
    )
    rows = rows.annotate(day=Coalesce("stand_sale__day", "part_of__stand_sale__day"))
    for day, method, amount in rows.values_list("day", "method", "amount"):
        found[day].money[method] = found[day].money.get(method, NOTHING) + amount
    entries = box_in_force().filter(step__day__in=found).order_by()
    sums = entries.values_list("step__day", "kind")
    for day, kind, amount in sums.annotate(Sum("amount", output_field=MoneyField())):
        found[day].box[kind] = amount


def _add_counts(found):
    steps = StandStep.objects.in_force().filter(day__in=found, kind=StandStep.Kind.CLOSED)
    for step in steps.select_related("count"):
        found[step.day_id].closing, found[step.day_id].count = step, step.count


def open_stands() -> list[StandDay]:
    """Return the stands that are open, the newest first."""
    return list(StandDay.objects.open().select_related("place").order_by("-date", "-pk"))


def attended_stands() -> list[StandDay]:
    """Return the open stands with somebody there, where sales are noted as they are made."""
    return [day for day in open_stands() if day.attended]


def box_in_force():
    """Return the entries of boxes that were not undone."""
    return BoxEntry.objects.filter(step__reversed_by=None)


def stand_differences():
    """Yield, in words, each closed stand day whose money does not add up. None is right."""
    days = StandDay.objects.filter(state=StandDay.State.CLOSED).select_related("place")
    for row in figures_of_days(days):
        held = row.expected + row.over_short
        if row.count is None or held != row.count.cash:
            yield (
                f"Stand {row.day}: {row.counted} were counted; the float, the cash sales, what "
                f"was given out and what was over or short come to {held}."
            )
