"""Where somebody lives: kept in parts, printed by one function."""

from collections.abc import Mapping

from babel import Locale
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact

PARTS = ("street", "postcode", "city", "region", "country")

# Where the town stands before its region and postcode: "Ombersfield, OH 44090".
TOWN_FIRST = frozenset(["AU", "CA", "GB", "IE", "IN", "NZ", "US", "ZA"])


class Addressed(models.Model):
    """A party with an address, in parts or as one text.

    `address` is printed as it is written where street and city are empty;
    `country` is a code of ISO 3166-1: US, DE.
    """

    address = models.TextField(blank=True)
    street = models.CharField(max_length=120, blank=True)
    postcode = models.CharField(max_length=16, blank=True)
    city = models.CharField(max_length=80, blank=True)
    region = models.CharField(max_length=60, blank=True)
    country = models.CharField(max_length=2, blank=True)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                name="%(app_label)s_%(class)s_country_has_two_letters",
                condition=Q(country="") | Q(Exact(Length("country"), 2)),
                violation_error_message="A country is a code of two letters, such as US or DE.",
            )
        ]

    @property
    def printed_address(self) -> str:
        """The address as it stands on paper at home."""
        facts = {name: getattr(self, name) for name in ("address", *PARTS)}
        return printed_address(facts, home=self.country)


def printed_address(facts: Mapping[str, str], *, home: str = "", language: str = "en") -> str:
    """Return the lines of an address: its parts, else the text it was written as.

    The country is named, in that language, where it is not `home`, the other party's.
    """
    part = {name: facts.get(name, "") for name in PARTS}
    if not part["street"] and not part["city"]:
        return facts.get("address", "").strip()
    country = part["country"]
    abroad = country and country != home
    lines = [part["street"], _town(part), country_name(country, language) if abroad else ""]
    return "\n".join(line for line in lines if line)


def country_name(code: str, language: str = "en") -> str:
    """Return a country's name in a language: DE in French is Allemagne."""
    return Locale.parse(language, sep="_").territories.get(code, code)


def countries(language: str = "en") -> list[tuple[str, str]]:
    """Return (code, name) of every country of ISO 3166-1 that Babel knows, by name."""
    named = Locale.parse(language).territories.items()
    found = [(code, name) for code, name in named if len(code) == 2 and code not in NO_COUNTRY]
    return sorted(found, key=lambda pair: pair[1])


# The member states, whose plant passports are those of Regulation (EU) 2016/2031.
EUROPEAN_UNION = (
    *("AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU"),
    *("IE", "IT", "LT", "LU", "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK"),
)

# Codes that CLDR uses for other things than the countries of ISO 3166-1.
NO_COUNTRY = frozenset(
    ["AC", "CP", "CQ", "DG", "EA", "EU", "EZ", "IC", "QO", "TA", "UN", "XA", "XB", "XK", "ZZ"]
)


def _town(part):
    """Write postcode, city and region in the order that the country's post expects."""
    if part["country"] in TOWN_FIRST or (not part["country"] and part["region"]):
        after = " ".join(filter(None, [part["region"], part["postcode"]]))
        return ", ".join(filter(None, [part["city"], after]))
    town = " ".join(filter(None, [part["postcode"], part["city"]]))
    return ", ".join(filter(None, [town, part["region"]]))
