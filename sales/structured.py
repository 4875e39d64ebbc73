"""What machines read of the public list: schema.org's terms as JSON-LD.

Terms are those of https://schema.org/Product, /Offer and /ItemAvailability. JSON-LD is data in
the page and no script: browsers do not run it, so the page's policy lets it stand.
"""

import json
from collections.abc import Callable, Iterable

from django.utils.safestring import SafeString, mark_safe

from nursery.money import currency_digits, round_half_up
from sales.public import PublicLine
from sales.public_news import named

SCHEMA = "https://schema.org"
# What could end the element that holds the data, written as JSON's own escapes.
ESCAPES = {ord(sign): f"\\u{ord(sign):04X}" for sign in "<>&\u2028\u2029"}


def json_ld(data: dict) -> SafeString:
    """Return the element that carries the data, in which nothing can end it."""
    text = json.dumps(data, ensure_ascii=False).translate(ESCAPES)
    return mark_safe(f'<script type="application/ld+json">{text}</script>')


def described(
    lines: Iterable[PublicLine], *, seller: dict, currency: str, url: Callable[[str], str]
) -> dict:
    """Return the list as an ItemList of Products with their Offers.

    `url` makes an address whole: of the page with "#anchor", of a picture by its name.
    """
    items = [
        {"@type": "ListItem", "position": number, "item": _product(line, seller, currency, url)}
        for number, line in enumerate(lines, 1)
    ]
    return {"@context": SCHEMA, "@type": "ItemList", "itemListElement": items}


def seller_of(facts: dict) -> dict:
    """Return the nursery as schema.org names it, by the facts shown of it."""
    told = {"telephone": facts.get("phone"), "email": facts.get("email")}
    seller = {"@type": "GardenStore", "name": facts["name"]}
    return seller | {term: value for term, value in told.items() if value}


def _product(line, seller, currency, url):
    product = {"@type": "Product", "name": named(line), "url": url(f"#{line.anchor}")}
    if line.common_name:
        product["alternateName"] = line.common_name
    if line.photo:
        product["image"] = url(line.photo["large"])
    return product | {"size": line.container, "offers": _offer(line, seller, currency, url)}


def _offer(line, seller, currency, url):
    offer = {"@type": "Offer", "url": url(f"#{line.anchor}"), "seller": seller}
    if line.ready_on:
        offer |= {
            "availability": f"{SCHEMA}/PreOrder",
            "availabilityStarts": line.ready_on.isoformat(),
        }
    else:
        offer["availability"] = f"{SCHEMA}/InStock"
    if isinstance(line.number, int):
        offer["inventoryLevel"] = {"@type": "QuantitativeValue", "value": line.number}
    if line.price is not None:
        price = round_half_up(line.price, currency_digits(currency))
        offer |= {"price": str(price), "priceCurrency": currency}
    return offer
