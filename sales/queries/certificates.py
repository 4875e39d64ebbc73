"""Which certificate lets a buyer buy without tax on a day, and what is wrong where none does."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

from sales.models import Buyer, Certificate

ONE_DAY = timedelta(days=1)
SOON = timedelta(days=30)
# Streamlined Sales Tax (2011, summarised): a certificate counts up to 90 days after the sale.
LATE = timedelta(days=90)


def standing_certificates(buyer: Buyer) -> list[Certificate]:
    """Return a buyer's certificates that were not taken off, the one that begins last first.

    One that stands with another entry of the same buyer counts as well.
    """
    return list(Certificate.objects.filter(buyer__in=buyer.entries, is_withdrawn=False))


def exemption_of(buyer: Buyer | None, on: date) -> str:
    """Return why a buyer pays no tax that day, or nothing."""
    found = _in_date(buyer, on) if buyer and buyer.tax_exempt else None
    return f"Exempt, certificate {found}" if found else ""


def exemption_trouble(buyer: Buyer | None, on: date) -> str:
    """Return why a sale that day to a buyer without tax is taxed all the same, or nothing."""
    if not buyer or not buyer.tax_exempt or _in_date(buyer, on):
        return ""
    return _why_none(standing_certificates(buyer), on, "this sale is taxed")


def counts_back_to(received: date) -> date:
    """Return the first day whose sales a certificate may still exempt, where the law lets it."""
    return received - LATE


def covered_until(certificates: Iterable[Certificate], on: date) -> date:
    """Return the last day covered without a gap from a day on; the day before it where none is."""
    last = on - ONE_DAY
    for one in sorted(certificates, key=lambda one: one.valid_from):
        if (one.valid_from - last).days <= 1:
            last = max(last, one.last_day)
    return last


def certificate_warning(certificates: Iterable[Certificate], on: date) -> str:
    """Return that an exempt buyer has no certificate in date, or for 30 days at most."""
    certificates = list(certificates)
    last = covered_until(certificates, on)
    if last < on:
        return _why_none(certificates, on, "sales are taxed")
    if last > on + SOON:
        return ""
    return f"The certificate ends on {_day(last)}: sales are taxed after that."


def certificates_due(on: date) -> list[tuple[Buyer, str]]:
    """Return the buyers without tax whose certificate is missing or soon ends, with the words."""
    certificates = defaultdict(list)
    for one in Certificate.objects.filter(is_withdrawn=False).select_related("buyer"):
        certificates[one.buyer.same_as_id or one.buyer_id].append(one)
    buyers = Buyer.objects.kept().filter(tax_exempt=True)
    warned = ((buyer, certificate_warning(certificates[buyer.pk], on)) for buyer in buyers)
    return [(buyer, words) for buyer, words in warned if words]


def _in_date(buyer, on):
    return next(
        (one for one in standing_certificates(buyer) if one.valid_from <= on <= one.last_day),
        None,
    )


def _why_none(certificates, on, so):
    ended = [one for one in certificates if one.last_day < on]
    if ended:
        last = max(ended, key=lambda one: one.last_day)
        ended_on = _day(last.last_day)
        return f"The certificate {last.number} ended on {ended_on}: {so}. Enter the new one."
    if certificates:
        first = min(certificates, key=lambda one: one.valid_from)
        return f"The certificate {first.number} begins on {_day(first.valid_from)}: {so}."
    return f"No exemption certificate is written down: {so}. Enter it."


def _day(day):
    return f"{day.day} {day:%B %Y}"
