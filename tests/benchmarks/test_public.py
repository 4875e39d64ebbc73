"""How long the list on the web takes with every lot standing, and a long list its PDF.

The web list is measured against a bare view of the same rows: one statement that sums the
standing lots, and a template that writes a line for each. It is asked for without a cache,
once with its lines as they were kept and once where the ledger has moved on since.
"""

from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.test import RequestFactory

from inventory.models import Container, LotBalance
from nursery.context import asked_once
from sales import operations
from sales.documents.offers import _context, offer_pdf
from sales.documents.pdf import html_of, own_file, own_files_only
from sales.models import PublicList
from sales.offering import Choice, Offered
from sales.queries.offer import Offer
from sales.views.public_list import public_page
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.measuring import least, median, note, timed
from tests.benchmarks.opened import opened
from tests.factories import DAY, NurseryFactory, PlantFactory

EACH, ROUNDS, LINES = 25, 3, 500
ROWS = """
SELECT p.name, p.common_name, c.code, l.grade, SUM(b.on_hand) FROM inventory_lotbalance b
JOIN inventory_lot l ON l.id = b.lot_id JOIN inventory_container c ON c.id = l.container_id
JOIN inventory_plant p ON p.id = l.plant_id WHERE b.on_hand > 0 AND c.kind = 'sale'
GROUP BY l.plant_id, l.container_id, l.grade ORDER BY c.position, p.search_key
"""
BARE = """<!doctype html><title>Plants</title><ul>
{% for plant, common, size, grade, number in rows %}
<li><i>{{ plant }}</i> {{ common }} {{ size }} {{ grade }} {{ number }}</li>{% endfor %}</ul>"""


def bare_view(request: HttpRequest) -> HttpResponse:
    """Answer as a view does that knows nothing but its rows."""
    with connection.cursor() as cursor:
        rows = cursor.execute(ROWS).fetchall()
    return HttpResponse(engines["django"].from_string(BARE).render({"rows": rows}))


def test_the_list_on_the_web_with_every_lot_standing(ledger):
    ask = RequestFactory().get("/list/")
    with opened(ledger(SIZES[-1])), transaction.atomic():
        LotBalance.objects.update(on_hand=5)
        operations.change_public_list(is_on=True, phone="1", on_list="stand")

        def anew():
            PublicList.objects.update(mark="")
            return public_page(ask)

        acts = {"kept": lambda: public_page(ask), "worked out anew": anew}
        acts["bare"] = lambda: bare_view(ask)
        times = {name: [] for name in acts}
        for act in acts.values():
            act()
        for _ in range(EACH):
            for name, act in acts.items():
                # As in a request, the nursery is asked for once.
                with asked_once():
                    times[name].append(timed(act))
        lines = public_page(ask).content.count(b"<li id=")
        transaction.set_rollback(True)

    bare = median(times["bare"])
    note(f"a bare view of {lines} lines, all lots of {SIZES[-1]:,} standing", bare)
    for name in ("kept", "worked out anew"):
        note(f"the list on the web, {name}", median(times[name]))
        note("  ratio", median(times[name]) / bare, "2 or less")


@pytest.mark.django_db
def test_a_list_of_five_hundred_lines_on_paper():
    NurseryFactory(units="us")
    size = Container.objects.get(code="#1")
    plants = [PlantFactory(name=f"Ilex crenata 'Row {n}'") for n in range(LINES)]
    lines = [Offered(plant, size, "", 7, None, Decimal("9.50")) for plant in plants]
    found = Offer(Choice(), DAY, lines, tax_included=False)
    written = html_of("documents/availability.html", _context(found, None))
    ours, bare = [], []
    offer_pdf(found)
    for _ in range(ROUNDS):
        ours.append(timed(lambda: offer_pdf(found)))
        bare.append(timed(lambda: set_bare(written)))
    note(f"a list of {LINES} lines as PDF", least(ours))
    note("  WeasyPrint alone, the same HTML", least(bare))
    note("  ratio", least(ours) / least(bare), "1.3 or less")


def set_bare(written):
    """Set HTML as WeasyPrint does by itself, with the same sheet."""
    from weasyprint import CSS, HTML

    fetcher = own_files_only()
    sheet = CSS(string=own_file("css/documents.css").read_text("utf-8"), url_fetcher=fetcher)
    HTML(string=written, base_url="static:/", url_fetcher=fetcher).write_pdf(stylesheets=[sheet])
