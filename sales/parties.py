"""The facts of both parties and of a plant, as a document keeps them from its day on.

Only what is there is kept, so that an old document and a short one look alike.
"""

from datetime import date

from inventory.models import Container, Nursery, Plant
from nursery.address import PARTS, printed_address
from sales.models import Buyer

OF_THE_SELLER = (
    *("name", "address", *PARTS, "email", "phone", "web", "tax_id"),
    *("licence_name", "licence_number", "inspection_certificate"),
    *("iban", "bic", "bank", "terms", "logo", "language"),
    *("passport_country", "passport_registration"),
)
OF_THE_BUYER = ("name", "address", *PARTS, "email", "tax_id", "language")


def seller_facts(nursery: Nursery) -> dict[str, str]:
    """Return what a document issued now keeps of the nursery, its paper included."""
    return _facts(nursery, OF_THE_SELLER) | {"paper": str(nursery.paper_in_use)}


def buyer_facts(buyer: Buyer | None) -> dict[str, str]:
    """Return what a document issued now keeps of its buyer; of a walk-in nothing."""
    return _facts(buyer, OF_THE_BUYER) if buyer else {}


def line_words(plant: Plant, container: Container, on: date) -> dict[str, str]:
    """Return what a line printed on that day says of its plants.

    The right of a protected cultivar is named as long as it lasts.
    """
    lapsed = plant.patent_expires and plant.patent_expires < on
    words = {
        "name": plant.name,
        "common_name": plant.common_name,
        "container": container.code,
        "caution": plant.poisonous,
        "right": "" if lapsed else plant.propagation_right,
    }
    return {name: text for name, text in words.items() if text}


def addresses(issued_by: dict, issued_to: dict, language: str = "en") -> tuple[str, str]:
    """Return both parties' addresses as printed: a country is named where it is the other's."""
    home, other = issued_by.get("country", ""), issued_to.get("country", "")
    return (
        printed_address(issued_by, home=other or home, language=language),
        printed_address(issued_to, home=home, language=language),
    )


def _facts(party, names):
    return {name: value for name in names if (value := getattr(party, name))}
