"""Numbers of receipts, invoices and credit notes: by series, without gaps."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from sales import operations
from sales.errors import SaleRefused
from sales.models import Document
from sales.operations.numbering import given_number
from sales.queries.document_page import plants_out
from tests.factories import DAY, BuyerFactory, NurseryFactory, lot_holding, sell_from
from tests.test_concurrency import at_once


def credit_for(document, on=DAY):
    return operations.take_back(
        document=document,
        plants=[(plants_out(document)[0][0], 1)],
        on=on,
        restock=True,
        request_id=uuid4(),
    )


@pytest.mark.django_db
def test_each_series_counts_for_itself_and_begins_anew_each_year():
    NurseryFactory(invoice_prefix="INV-", receipt_prefix="R", credit_prefix="CN-")
    lot, buyer = lot_holding(50), BuyerFactory()

    first, second = sell_from(lot, 1, buyer=buyer), sell_from(lot, 1, buyer=buyer)
    walk_in = sell_from(lot, 1, paid_by="cash")
    later = sell_from(lot, 1, buyer=buyer, on=date(2026, 1, 2))

    assert [row.number for row in (first, second, walk_in, later, credit_for(first))] == [
        "INV-2025-0001",
        "INV-2025-0002",
        "R2025-0001",
        "INV-2026-0001",
        "CN-2025-0001",
    ]


@pytest.mark.django_db
def test_without_letters_invoices_and_receipts_count_together():
    NurseryFactory()
    lot = lot_holding(50)
    document = sell_from(lot, 1, buyer=BuyerFactory())

    assert document.number == "2025-0001"
    assert sell_from(lot, 1, paid_by="cash").number == "2025-0002"
    assert credit_for(document).number == "C2025-0001"


@pytest.mark.django_db
def test_other_letters_begin_another_series_and_the_old_letters_go_on():
    NurseryFactory()
    lot, buyer = lot_holding(50), BuyerFactory()
    sell_from(lot, 1, buyer=buyer)
    operations.change_letterhead(invoice_prefix="A-")
    assert sell_from(lot, 1, buyer=buyer).number == "A-2025-0001"
    operations.change_letterhead(invoice_prefix="")

    assert sell_from(lot, 1, buyer=buyer).number == "2025-0002"


@pytest.mark.django_db
def test_a_refused_sale_takes_no_number():
    NurseryFactory(invoice_prefix="INV-")
    lot, buyer = lot_holding(5), BuyerFactory()
    with pytest.raises(Exception, match="held 5"):
        sell_from(lot, 6, buyer=buyer)

    assert sell_from(lot, 1, buyer=buyer).number == "INV-2025-0001"


@pytest.mark.parametrize(
    ("number", "series", "serial"),
    [
        ("2025-0007", "2025", 7),
        ("C2025-0007", "C2025", 7),
        ("INV-2025-12345", "INV-2025", 12345),
        # Not as the ledger writes it, so it stands in no series and its number stays free.
        ("2025-00007", "", None),
        ("2025-7", "", None),
        ("Bill 12", "", None),
    ],
)
def test_a_number_from_a_file_joins_its_series(number, series, serial):
    given = given_number(number)

    assert (given["series"], given["serial"], given["number"]) == (series, serial, number)


@pytest.mark.django_db
def test_letters_that_stray_numbers_begin_with_are_refused():
    NurseryFactory()
    document = sell_from(lot_holding(5), 1)
    Document.objects.bulk_create(
        [Document(number="OLD-2024-0003", kind="sale", date=document.date, net=0, tax=0)]
    )

    with pytest.raises(SaleRefused, match="OLD-2024-0003 already"):
        operations.change_letterhead(invoice_prefix="OLD-")


@pytest.mark.django_db(transaction=True)
def test_many_tills_at_once_leave_no_gap_in_any_series():
    NurseryFactory(invoice_prefix="INV-", receipt_prefix="R")
    lot, buyer = lot_holding(9), BuyerFactory()

    def sale(buyer):
        item = operations.Item(lot.plant, lot.container, 1, lot=lot, unit_price=Decimal("4.00"))
        paid = {} if buyer else {"paid_by": "cash"}
        return operations.sell(items=[item], on=DAY, buyer=buyer, request_id=uuid4(), **paid)

    # Twelve want a plant and nine get one: a refusal in between must not use up a number.
    results = at_once(*[lambda who=who: sale(who) for who in (buyer, None) * 6])

    assert sum(isinstance(result, Document) for result in results) == 9, results
    for series in ("INV-2025", "R2025"):
        serials = list(Document.objects.filter(series=series).values_list("serial", flat=True))
        assert sorted(serials) == list(range(1, len(serials) + 1)), series
