"""Exemption certificates: in date on the day of the sale, or the sale is taxed."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Nursery
from nursery.today import groups_to_do
from sales import operations
from sales.errors import SaleRefused
from sales.models import Buyer, Certificate, TaxRate
from sales.queries.certificates import certificates_due, counts_back_to, exemption_trouble
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    UserFactory,
    exempt_buyer,
    give_price,
    lot_holding,
    sell_from,
)
from tests.test_hold import held

pytestmark = pytest.mark.django_db
LAST = date(2026, 3, 31)
AFTER = LAST + timedelta(days=1)


@pytest.fixture
def office(client):
    NurseryFactory()
    TaxRate.objects.create(percent=Decimal(6), valid_from=date(2020, 1, 1))
    client.force_login(UserFactory(is_superuser=True))
    return client


def page_of(client, buyer):
    return client.get(reverse("sales:buyer", args=[buyer.pk])).content.decode()


def newer(buyer, **more):
    facts = {"number": "E-18", "valid_from": AFTER, "request_id": uuid4()}
    return operations.add_certificate(buyer=buyer, **(facts | more))


def test_a_sale_is_exempt_on_the_last_day_and_taxed_on_the_next(office):
    buyer, lot = exempt_buyer(valid_until=LAST), lot_holding(10)

    in_date = sell_from(lot, 1, "10.00", buyer=buyer, on=LAST)
    late = sell_from(lot, 1, "10.00", buyer=buyer, on=AFTER)

    assert (in_date.tax, in_date.taxes.get().reason) == (0, "Exempt, certificate E-17")
    assert late.tax == Decimal("0.60")


def test_a_sale_before_the_first_day_is_taxed(office):
    buyer = exempt_buyer(valid_from=AFTER)

    assert sell_from(lot_holding(10), 1, "10.00", buyer=buyer, on=LAST).tax == Decimal("0.60")
    assert "begins on 1 April 2026: this sale is taxed" in exemption_trouble(buyer, LAST)


def test_the_new_certificate_is_printed_where_two_are_in_date(office):
    buyer = exempt_buyer()
    newer(buyer, issuer="the county")

    document = sell_from(lot_holding(10), 1, buyer=buyer, on=AFTER)

    assert document.taxes.get().reason == "Exempt, certificate E-18, the county"


def test_the_stand_says_before_saving_why_a_sale_is_taxed(office):
    buyer, lot = exempt_buyer(valid_until=LAST), lot_holding(10)
    give_price(lot, "10.00")
    query = {f"n-{lot.plant_id}-{lot.container_id}": "1", "buyer": buyer.pk, "on": "2026-04-15"}

    page = office.get(reverse("sales:sell"), query, follow=True).content.decode()

    assert "The certificate E-17 ended on 31 March 2026: this sale is taxed." in page
    assert "Enter the new one." in page and "$10.60" in page


def test_the_stand_is_silent_where_nothing_is_taxed_anyway(office):
    TaxRate.objects.all().delete()
    buyer, lot = BuyerFactory(tax_exempt=True), lot_holding(10)
    give_price(lot, "10.00")
    query = {f"n-{lot.plant_id}-{lot.container_id}": "1", "buyer": buyer.pk}

    page = office.get(reverse("sales:sell"), query, follow=True).content.decode()

    assert "this sale is taxed" not in page


def test_handing_over_what_was_held_says_too_why_it_is_taxed(office):
    hold = held(lot_holding(20), 5)
    Buyer.objects.update(tax_exempt=True)

    page = office.get(reverse("sales:hand-over", args=[hold.pk]), follow=True).content.decode()

    assert "No exemption certificate is written down: this sale is taxed. Enter it." in page


# EX-51, derived from Streamlined Sales Tax guidelines of 2011 (read in summary): 90 days.
def test_a_certificate_may_count_for_sales_ninety_days_before_it_came():
    assert counts_back_to(date(2025, 7, 14)) == date(2025, 4, 15)


@pytest.mark.parametrize(("days", "is_due"), [(-1, True), (0, True), (30, True), (31, False)])
def test_one_that_ends_within_thirty_days_is_warned_of(office, days, is_due):
    today = timezone.localdate()
    buyer = exempt_buyer(name="Fallow Grounds", valid_until=today + timedelta(days=days))

    assert ("sales are taxed" in page_of(office, buyer)) is is_due
    assert [found for found, _ in certificates_due(today)] == [buyer] * is_due
    titles = [group.title for group in groups_to_do(today, Nursery.current())]
    assert ("Ask for a new certificate" in titles) is is_due


def test_nothing_is_warned_of_where_the_next_one_follows_without_a_gap():
    buyer = exempt_buyer(valid_until=LAST)
    assert certificates_due(LAST) != []

    with_a_gap = newer(buyer, valid_from=AFTER + timedelta(days=1))
    assert certificates_due(LAST) != []

    operations.remove_certificate(certificate=with_a_gap)
    newer(buyer)
    assert certificates_due(LAST) == []


def test_one_is_added_on_the_page_taken_off_and_put_back(office):
    buyer = BuyerFactory(tax_exempt=True)
    typed = {"number": "E-17", "valid_from": "2025-01-01", "request_id": str(uuid4())}
    assert "No exemption certificate is written down" in page_of(office, buyer)

    for _ in range(2):
        office.post(reverse("sales:certificate-add", args=[buyer.pk]), typed)
    certificate = Certificate.objects.get()
    assert "Certificate E-17" in page_of(office, buyer)

    office.post(reverse("sales:certificate-remove", args=[certificate.pk]))
    assert sell_from(lot_holding(5), 1, "10.00", buyer=buyer).tax == Decimal("0.60")
    office.post(reverse("sales:certificate-back", args=[certificate.pk]))
    assert sell_from(lot_holding(5, "L2"), 1, "10.00", buyer=buyer).tax == 0


def test_one_that_ends_before_it_begins_is_refused_and_kept(office):
    buyer = BuyerFactory(tax_exempt=True)
    typed = {"number": "E-17", "valid_from": "2026-04-01", "valid_until": "2026-03-31"}
    typed["request_id"] = str(uuid4())

    page = office.post(reverse("sales:certificate-add", args=[buyer.pk]), typed).content.decode()

    assert "It ends before it begins" in page and 'value="E-17"' in page
    with pytest.raises(SaleRefused, match="number"):
        newer(buyer, number=" ")
    assert not Certificate.objects.exists()


def test_certificates_are_closed_to_whom_may_not(client):
    certificate = exempt_buyer().certificates.get()
    client.force_login(UserFactory())

    assert client.get(reverse("sales:certificate-add", args=[1])).status_code == 403
    for name in ("remove", "back"):
        address = reverse(f"sales:certificate-{name}", args=[certificate.pk])
        assert client.post(address).status_code == 403
