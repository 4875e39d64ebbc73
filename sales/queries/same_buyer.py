"""Find the same buyer written down twice, and compare the two entries."""

import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches

from django.utils import timezone

from sales.models import Buyer
from sales.queries.certificates import standing_certificates
from sales.queries.document_list import owed_and_overdue
from sales.queries.on_account import on_account

# How alike two names are, from 0 to 1, to be worth a question: a letter or an ending apart.
ALIKE = 0.85
MOST = 4
# What one buyer rarely has two of.
DOUBTS = {"Tax ID": "tax IDs", "Address": "addresses"}


@dataclass(frozen=True)
class Fact:
    """What is known of one thing in two entries, in words."""

    name: str
    kept: str
    other: str

    @property
    def differs(self) -> bool:
        return bool(self.kept and self.other) and name_key(self.kept) != name_key(self.other)


@dataclass(frozen=True)
class Comparison:
    """Two entries side by side, and what both come to together."""

    kept: Buyer
    other: Buyer
    facts: list[Fact]
    owed: tuple[Decimal, Decimal]
    on_account: tuple[Decimal, Decimal]

    @property
    def warnings(self) -> list[str]:
        """What speaks against their being one, or changes with it."""
        differing = [fact.name for fact in self.facts if fact.differs]
        doubts = [words for name, words in DOUBTS.items() if name in differing]
        found = [f"Their {' and '.join(doubts)} differ: look twice."] if doubts else []
        if self.other.tax_exempt and not self.kept.tax_exempt:
            found.append(
                f"{self.other} buys without sales tax, {self.kept} with it, and that counts. The "
                f"certificates of both count once {self.kept} is marked “Buys without sales tax”."
            )
        return found

    @property
    def owed_together(self) -> Decimal:
        return sum(self.owed, Decimal(0))

    @property
    def on_account_together(self) -> Decimal:
        return sum(self.on_account, Decimal(0))


def compare(kept: Buyer, other: Buyer) -> Comparison:
    """Return two entries side by side."""
    both = [_facts_of(one) for one in (kept, other)]
    facts = [Fact(name, text, both[1][name]) for name, text in both[0].items()]
    return Comparison(
        kept,
        other,
        [fact for fact in facts if fact.kept or fact.other],
        tuple(_owed_now(one) for one in (kept, other)),
        (on_account(kept), on_account(other)),
    )


def _owed_now(buyer):
    return owed_and_overdue(timezone.localdate(), buyer__in=buyer.entries)[0]


def alike(name: str, but: Buyer | None = None) -> list[Buyer]:
    """Return the buyers whose name is nearly this one, the nearest first.

    Case, spaces, points and accents make no difference. An entry that is the same as another
    leads to the one kept. `but` is left out.
    """
    key = name_key(name)
    buyers = Buyer.objects.select_related("same_as")
    keys: dict[str, Buyer] = {name_key(one.name): one.kept for one in buyers if one.kept != but}
    close = get_close_matches(key, keys, MOST, ALIKE) if key else []
    return list(dict.fromkeys(keys[found] for found in close))


def name_key(name: str) -> str:
    """Return the letters and digits of a name, all small and without accents."""
    return "".join(filter(str.isalnum, unicodedata.normalize("NFKD", name).casefold()))


def _facts_of(buyer):
    return {
        "Kind": buyer.get_kind_display(),
        "Prices": f"{buyer.list_in_use} list",
        "Address": buyer.printed_address.replace("\n", ", "),
        "Tax ID": buyer.tax_id,
        "Phone": buyer.phone,
        "E-mail": buyer.email,
        "Invoices in": buyer.get_language_display(),
        "Days to pay": str(buyer.terms_days),
        "Sales tax": _exemption(buyer),
        "Note": buyer.note,
    }


def _exemption(buyer):
    certificates = ", ".join(map(str, standing_certificates(buyer)))
    found = "buys without" if buyer.tax_exempt else "charged"
    return f"{found}; certificate {certificates}" if certificates else found
