"""Check a small ledger, from cuttings to a margin, against a calculation by hand.

Money below is in the currency unit; fractions are exact. Difference allowed: 0.

Lot T1, batch K1: 200 cuttings stuck for 48.00 (cuttings), 12.00 of labour: 60.00.
  Rooted count: 160 alive; 40 never rooted, a normal loss. 160 carry 60.00: 3/8 each.
Lot T2, batch K2: 100 cuttings stuck for 50.00. Rooted count: 80 alive, normal. 80 carry 50.00: 5/8.

Potting up into #1:
  P1: 120 of T1 at 3/8 = 45.00, and 75.00 of containers: 120.00 on 120, 1.00 each.
      T1 keeps 40 and 15.00.
  P2: 80 of T2 = 50.00, and 30.00 of containers: 80.00 on 80, 1.00 each. T2 is empty.
Heat of the winter: P1 60.00, so 180.00 on 120: 1.50 each. P2 40.00: 120.00 on 80: 1.50 each.

Winter: P1 loses 20 as expected: 100 carry 180.00, 1.80 each.
        P1 loses 10 beyond that: 10 x 1.80 = 18.00 expensed; 90 carry 162.00.
        P2 loses 20 as expected: 60 carry 120.00, 2.00 each.

Sales: document 2026-0001, Orla Finch Gardens: 30 of P1 at 6.00: revenue 180.00, cost 54.00.
         P1 keeps 60 and 108.00.
       document 2026-0002, a walk-in: 20 of P2 at 7.50: revenue 150.00, cost 40.00.
         P2 keeps 40 and 80.00.
Blend: P2 joins P1: 100 plants with 188.00, 1.88 each; shares 60 of K1 and 40 of K2.
       document 2026-0003, Orla Finch Gardens: 25 of P1 at 7.50: revenue 187.50, cost 47.00.
         P1 keeps 75 and 141.00.
Returns: 5 of 2026-0001 come back into stock: revenue -30.00, cost -9.00 (1.80 each).
         P1 holds 80 and 150.00. The five are of K1: shares of K1 (45 + 5)/80, K2 30/80.
         4 of 2026-0003 come back dead: revenue -30.00, cost of sales -7.52, expensed 7.52.

Where the plants are: 300 begun = 120 on hand (P1 80, T1 40) + 66 sold (25 + 20 + 21)
  + 114 lost (40 + 20 not rooted, 50 winter, 4 discarded).
Where the costs are: 48 + 12 + 50 + 75 + 30 + 60 + 40 = 315.00 incurred.
  In stock: T1 15.00 + P1 150.00 = 165.00.
  Cost of sales: 54.00 - 9.00 + 40.00 + 47.00 - 7.52 = 124.48. Expensed: 18.00 + 7.52 = 25.52.
  165.00 + 124.48 + 25.52 = 315.00.
Margin: revenue 180 - 30 + 150 + 187.50 - 30 = 457.50; margin 333.02.
  By batch: 2026-0003 keeps 21 plants, 60 percent of K1, 40 percent of K2: 12.6 and 8.4 plants,
  94.50 and 63.00 of revenue, 23.688 and 15.792 of cost.
  K1: 25 + 12.6 plants, 150 + 94.50, 45 + 23.688. K2: 20 + 8.4, 150 + 63, 40 + 15.792.
"""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from sales.ledger_file.importing import import_ledger
from sales.reports import REPORTS
from tests.ledger_figures import assert_the_books_are_right, report

pytestmark = pytest.mark.django_db

LEDGER = """\
date,event,lot,to_lot,batch,plant,container,quantity,category,amount,cause,treatment,buyer,price,document
2025-06-20,stick,T1,,K1,Weigela florida 'Rehearsal',tray,200,cuttings,48.00,,,,,
2025-06-20,cost,T1,,,,,,labour,12.00,,,,,
2025-06-24,stick,T2,,K2,Weigela florida 'Rehearsal',tray,100,cuttings,50.00,,,,,
2025-08-11,root_count,T1,,,,,160,,,,normal,,,
2025-08-12,root_count,T2,,,,,80,,,,normal,,,
2025-09-02,pot_up,T1,P1,,,#1,120,containers,75.00,,,,,
2025-09-03,pot_up,T2,P2,,,#1,80,containers,30.00,,,,,
2025-12-31,cost,P1,,,,,,heat,60.00,,,,,
2025-12-31,cost,P2,,,,,,heat,40.00,,,,,
2026-03-20,loss,P1,,,,,20,,,winter,normal,,,
2026-03-20,loss,P1,,,,,10,,,winter,abnormal,,,
2026-03-20,loss,P2,,,,,20,,,winter,normal,,,
2026-04-11,sale,P1,,,,,30,,,,,Orla Finch Gardens,6.00,2026-0001
2026-04-12,sale,P2,,,,,20,,,,,,7.50,2026-0002
2026-04-20,blend,P2,P1,,,,,,,,,,,
2026-05-02,sale,P1,,,,,25,,,,,Orla Finch Gardens,7.50,2026-0003
2026-05-05,return,P1,,,,,5,,,,restock,,,2026-0001
2026-05-09,return,P1,,,,,4,,,drought,discard,,,2026-0003
"""


@pytest.fixture
def ledger(tmp_path: Path):
    path = tmp_path / "two-batches.csv"
    path.write_text(LEDGER, encoding="utf-8")
    assert import_ledger(path) == 18
    return path


def margins(by: str, **options) -> dict:
    rows = REPORTS["margin"](by=by, **options)
    return {row["key"]: (row["sold"], row["revenue"], row["cost_of_sales"]) for row in rows}


def money(text: str) -> Fraction:
    return Fraction(text)


def test_margin_is_what_the_hand_says(ledger):
    whole = (66, money("457.50"), money("124.48"))
    assert margins("plant") == {"Weigela florida 'Rehearsal'": whole}
    assert margins("container") == {"#1": whole}
    (row,) = report("margin", by="plant")
    assert row["margin"] == "333.020000"
    assert row["unit_price"] == "6.931818", "457.50 / 66"
    assert row["unit_cost"] == "1.886061", "124.48 / 66"
    assert row["unit_margin"] == "5.045758", "333.02 / 66"
    assert row["margin_percent"] == "72.791257", "333.02 / 457.50"


def test_margin_by_lot_buyer_and_month_is_what_the_hand_says(ledger):
    finch = (46, money("307.50"), money("84.48"))
    walk_in = (20, money("150"), money("40"))
    assert margins("lot") == {"P1": finch, "P2": walk_in}
    assert margins("buyer") == {"Orla Finch Gardens": finch, "walk-in": walk_in}
    assert margins("month") == {
        "2026-04": (50, money("330"), money("94")),
        "2026-05": (16, money("127.50"), money("30.48")),
    }


def test_margin_by_batch_shares_the_blended_sale(ledger):
    assert margins("batch") == {
        "K1": (money("37.6"), money("244.50"), money("68.688")),
        "K2": (money("28.4"), money("213"), money("55.792")),
    }


def test_losses_are_what_the_hand_says(ledger):
    names = ("lot", "cause", "quantity", "normal", "abnormal", "expensed")
    found = [tuple(row[name] for name in names) for row in REPORTS["losses"]()]
    assert found == [
        ("T1", "not rooted", 40, 40, 0, 0),
        ("T2", "not rooted", 20, 20, 0, 0),
        ("P1", "winter", 30, 20, 10, Decimal("18.00")),
        ("P2", "winter", 20, 20, 0, 0),
        ("P1", "drought", 4, 0, 4, Decimal("7.52")),
    ]


def test_costs_by_category_are_what_the_hand_says(ledger):
    """T1: 40 of 160, a quarter of 48.00 and 12.00. P1 by category, followed through in turn:
    K1's part before the blend: 60/90 of (36, 9, 75, 60), each times 90/100 for the ten lost
    beyond expectation, is 3/5 of them; K2's part: 40/60 of (50, 0, 30, 40). Together 100 plants,
    of which 75 stay: 3/4; then come back 5/100 of K1's (36, 9, 75, 60), as 100 carried them.
    """
    k1 = {"cuttings": 36, "labour": 9, "containers": 75, "heat": 60}
    k2 = {"cuttings": 50, "containers": 30, "heat": 40}
    p1 = {
        name: Fraction(3, 4) * (Fraction(3, 5) * amount + Fraction(2, 3) * k2.get(name, 0))
        + Fraction(5, 100) * amount
        for name, amount in k1.items()
    }
    found = {(row["lot"], row["category"]): row["amount"] for row in REPORTS["costs"]()}

    assert sum(p1.values()) == 150
    assert found == {
        ("T1", "cuttings"): 12,
        ("T1", "labour"): 3,
        **{("P1", name): Decimal(cost.numerator) / cost.denominator for name, cost in p1.items()},
    }


def test_valuation_and_conservation_are_what_the_hand_says(ledger):
    assert REPORTS["valuation"]() == [
        {"lot": "P1", "on_hand": 80, "cost": 150},
        {"lot": "T1", "on_hand": 40, "cost": 15},
    ]
    assert REPORTS["conservation"]() == [
        {
            "plants_begun": 300,
            "plants_on_hand": 120,
            "plants_sold": 66,
            "plants_lost": 114,
            "plants_used": 0,
            "incurred": 315,
            "in_stock": 165,
            "cost_of_sales": Decimal("124.48"),
            "expensed": Decimal("25.52"),
            "difference": 0,
        }
    ]
    assert_the_books_are_right()


def test_conservation_holds_on_a_day_in_between(ledger):
    """At the end of 31 March 2026: T1 15.00, P1 90 for 162.00, P2 60 for 120.00; 18.00 expensed."""
    (row,) = REPORTS["conservation"](on=date(2026, 3, 31))
    assert (row["plants_on_hand"], row["plants_sold"], row["plants_lost"]) == (190, 0, 110)
    assert (row["in_stock"], row["cost_of_sales"], row["expensed"]) == (297, 0, 18)
    assert (row["incurred"], row["difference"]) == (315, 0)


def test_the_blended_lots_shares_are_what_the_hand_says(ledger):
    lots = {row["lot"]: row for row in REPORTS["lots"](on=date(2026, 6, 1))}
    assert lots["P1"]["batches"] == [
        {"batch": "K1", "share": Fraction(50, 80)},
        {"batch": "K2", "share": Fraction(30, 80)},
    ]
    assert lots["P1"]["unit_cost"] == Decimal("1.875")
    assert (lots["P2"]["on_hand"], lots["P2"]["unit_cost"]) == (0, None)
