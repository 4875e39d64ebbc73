"""Taxes in a ledger file: rates, plants taxed otherwise, and sales that were exempt."""

from collections.abc import Iterator

from sales.ledger_file.book import ImportBook
from sales.ledger_file.rows import Row
from sales.models import DocumentLine, PlantTax, TaxCategory, TaxKind, TaxRate
from sales.operations.tax_rates import set_tax_rate, tax_plant
from sales.queries.certificates import exemption_of

INCLUDED = " included"
EXEMPT, TAXED = "exempt", "taxed"
TREATMENTS = [basis + more for basis in TaxRate.Basis.values for more in ("", INCLUDED)]


def read_tax(row: Row, book: ImportBook) -> None:
    """Set a rate; where the row names a plant, say which rate that one bears."""
    kind = row.choice("category", TaxKind.values, TaxKind.STANDARD)
    if row.text("plant"):
        tax_plant(plant=book.plant(row.text("plant")), kind=kind)
        return
    how = row.choice("treatment", TREATMENTS, TaxRate.Basis.INVOICE)
    set_tax_rate(
        percent=row.money("amount"),
        on=row.date,
        basis=how.removesuffix(INCLUDED),
        included=how.endswith(INCLUDED),
        jurisdiction=row.text("place"),
        kind=kind,
        name=row.text("note") or "Sales tax",
    )


def exemption_in(row: Row, so_far: str) -> str:
    """Return why a sale is without tax, or nothing: what its row says, else what was known."""
    said = row.choice("treatment", ("", EXEMPT, TAXED))
    if said == TAXED:
        return ""
    return so_far or (EXEMPT.capitalize() if said else "")


def tax_rows() -> Iterator[dict]:
    """Yield the rates by date, and on the first day the plants taxed otherwise."""
    rates = list(TaxRate.objects.order_by("valid_from", "pk"))
    plants = PlantTax.objects.select_related("plant").order_by("plant__name") if rates else ()
    for row in plants:
        first = {"date": rates[0].valid_from, "event": "tax"}
        yield first | {"plant": row.plant.name, "category": row.kind}
    for rate in rates:
        yield {
            "date": rate.valid_from,
            "event": "tax",
            "place": rate.jurisdiction,
            "category": "" if rate.kind == TaxKind.STANDARD else rate.kind,
            "amount": rate.percent,
            "treatment": rate.basis + (INCLUDED if rate.included else ""),
            "note": rate.name,
        }


def treatment_of(line: DocumentLine) -> str:
    """Return the treatment of a sale's row: taxed only where a certificate says otherwise."""
    if line.tax_category == TaxCategory.EXEMPT:
        return EXEMPT
    document = line.document
    is_taxed = line.tax_category == TaxCategory.STANDARD
    return TAXED if is_taxed and exemption_of(document.buyer, document.date) else ""
