"""A friendly text for a buyer: what is owed, and since when."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from urllib.parse import quote, urlencode

from babel.dates import format_date
from django.template.loader import render_to_string

from inventory.models import Nursery
from nursery.money import format_money
from sales.ages import days_over
from sales.models import Buyer
from sales.queries.on_account import on_account
from sales.queries.owed_by_age import owed_on


@dataclass(frozen=True)
class Reminder:
    """What a reminder says, in the buyer's language, and how much of it is past its day."""

    subject: str
    text: str
    overdue: Decimal
    email: str

    @property
    def mail_url(self) -> str:
        """The address that opens the text in a mail program, to be read before it is sent."""
        words = {"subject": self.subject, "body": self.text}
        return f"mailto:{quote(self.email)}?{urlencode(words, quote_via=quote)}"


def reminder_for(buyer: Buyer, on: date) -> Reminder | None:
    """Return the reminder of what is past its day, or None where nothing is."""
    rows = [row for row in owed_on(on).filter(buyer__in=buyer.entries) if row.falls_due < on]
    if not rows:
        return None
    nursery, language = Nursery.current(), buyer.language or "en"

    def money(amount):
        return format_money(amount, nursery.currency, language)

    def day(when):
        return format_date(when, "long", locale=language)

    overdue, kept = sum(row.owed for row in rows), on_account(buyer, on)
    lines = [
        {
            "number": row.number,
            "date": day(row.date),
            "due": day(row.falls_due),
            "owed": money(row.owed),
            "days": days_over(row.falls_due, on),
        }
        for row in rows
    ]
    told = {
        "nursery": nursery,
        "buyer": buyer,
        "today": day(on),
        "lines": lines,
        "total": money(overdue),
        "on_account": money(kept) if kept else "",
    }
    whole = render_to_string(f"documents/reminders/{language}.txt", told).strip()
    subject, _, text = whole.partition("\n")
    return Reminder(subject, text.strip(), overdue, buyer.email)
