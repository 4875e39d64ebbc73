"""Words, days and rates on paper, in the language it speaks.

Load with {% load paper_tags %}; money and numbers are written by nursery_tags.

    {% say "Due on" %}                          Fällig am
    {% say "Page {page}" page=number %}         Seite 3
    {{ document.date|day }}                     10. April 2025
    {{ tax.percent|rate }}                      6,25 %
"""

from datetime import date
from decimal import Decimal

from babel.dates import format_date
from babel.numbers import format_percent
from django import template
from django.utils.safestring import SafeString, mark_safe

from nursery.address import printed_address
from nursery.context import current_locale
from nursery.templatetags.nursery_tags import money
from sales.documents import words

register = template.Library()


@register.simple_tag
def say(text: str, **values) -> str:
    """Say an English word or sentence in the language of the paper."""
    return words.say(str(text), **values)


@register.simple_tag
def say_list(ways) -> str:
    """Say several words joined by "and"."""
    return words.say_list(ways)


@register.simple_tag
def page_numbers() -> SafeString:
    """Say, in CSS, which page of how many this is."""
    said = words.say("Page {page} of {pages}")
    for name in ("page", "pages"):
        said = said.replace(f"{{{name}}}", f'" counter({name}) "')
    return mark_safe(f'"{said}"')


@register.simple_tag
def passport_title() -> str:
    """Say "Plant Passport" in the paper's language and, where it is another, in English."""
    return " / ".join(dict.fromkeys([words.say("Plant Passport"), "Plant Passport"]))


@register.filter
def own_address(facts: dict) -> str:
    """Write the address of a party as it is printed at home."""
    return printed_address(facts, home=facts.get("country", ""))


@register.filter
def taken_off(amount: Decimal) -> str:
    """Write what is taken off a sum, with the sign of a subtraction."""
    return f"−{money(amount)}" if amount >= 0 else f"+{money(-amount)}"


@register.filter
def in_fours(number: str) -> str:
    """Part the letters of an IBAN by fours, as it is written on paper."""
    plain = number.replace(" ", "")
    return " ".join(plain[start : start + 4] for start in range(0, len(plain), 4))


@register.filter
def day(on: date, length: str = "long") -> str:
    """Write a date as the language does: in full, or "medium" for a column."""
    return format_date(on, length, locale=current_locale()) if on else ""


@register.filter
def rate(percent: Decimal) -> str:
    """Write a number of percent exactly: 6.25%, 6,25 %."""
    exact = Decimal(percent).normalize() / 100
    return format_percent(exact, locale=current_locale(), decimal_quantization=False)
