"""How many plants live. The lives are short and worked by hand beside each check."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from inventory import operations
from inventory.models import Lot, Nursery
from inventory.queries.survival import survivors, together
from inventory.queries.survival_rows import Asked, By, Since, causes_of_loss, winters_until
from sales.operations import take_back
from tests.entering import as_grower, page
from tests.factories import PlaceFactory, PlantFactory, UserFactory, container, lot_holding
from tests.factories import sell_from as sell
from tests.test_loss_record import counted, pot, root, write_off

pytestmark = pytest.mark.django_db

POTTED, SUMMER, WINTER, WALK = (
    date(2024, 5, 1),
    date(2024, 8, 1),
    date(2025, 1, 10),
    date(2025, 4, 20),
)
NOW = date(2025, 9, 1)


def alive(asked=None, on=NOW, after=365):
    point = together(asked or Asked(), on).after(after)
    return point and round(point.alive, 6)


def potted(quantity=100, code="P1", on=POTTED, **more):
    return lot_holding(quantity, code, on=on, **more)


def test_sold_plants_leave_the_watch_alive():
    lot = potted()
    sell(lot, 40, on=SUMMER)
    write_off(lot, 6, on=WINTER)

    assert alive() == 0.9  # 54 of the 60 that were still watched
    assert alive(on=WINTER) is None, "none was watched for a year by then"
    assert together(Asked(), NOW).came == 100


def test_plants_that_come_later_are_watched_from_their_age_on():
    tray = lot_holding(80, "T1", size="tray", on=date(2024, 3, 1))
    first = pot(tray, 50, "P1", on=POTTED)
    write_off(first, 10, on=SUMMER)
    operations.pot_up(
        lot=tray, quantity=30, to_lot="P1", container=None, on=WINTER, request_id=uuid4()
    )
    write_off(first, 7, on=WALK)

    assert alive() == round(40 / 50 * 63 / 70, 6)


def test_a_move_between_lots_of_one_beginning_is_none():
    lot = potted()
    operations.move(lot=lot, quantity=30, to_lot="P2", on=SUMMER, request_id=uuid4())
    write_off(Lot.objects.get(code="P2"), 6, on=WINTER)
    write_off(lot, 4, on=SUMMER)

    whole = together(Asked(), NOW)

    assert (whole.came, whole.lost, alive()) == (100, 10, round(96 / 100 * 90 / 96, 6))


def test_from_the_cutting_on_the_plants_that_never_rooted_are_lost():
    tray = lot_holding(100, "T1", size="tray", on=date(2024, 3, 1))
    root(tray, 80, on=POTTED)
    pot(tray, 80, "P1", on=SUMMER)
    write_off(Lot.objects.get(code="P1"), 8, on=WINTER)

    assert alive(Asked(Since.BEGUN)) == 0.72
    assert alive() == 0.9
    assert causes_of_loss(Asked(Since.BEGUN), NOW) == [("never rooted", 20), ("lost to winter", 8)]


@pytest.mark.parametrize(("again", "lost"), [(94, 6), (100, 0), (104, 0)])
def test_plants_missed_by_one_count_and_found_by_the_next_were_never_lost(again, lost):
    lot = potted()
    counted(lot, 90, SUMMER)
    counted(lot, again, WINTER)

    whole = together(Asked(), NOW)

    assert (whole.lost, whole.came) == (lost, max(100, again))


def test_what_is_undone_is_left_out():
    lot = potted()
    wrong = write_off(lot, 30, on=WINTER)
    operations.reverse(operation=wrong, request_id=uuid4())

    assert alive() == 1


@pytest.mark.parametrize("restock", [True, False])
def test_a_plant_taken_back_is_no_loss_here(restock):
    lot = potted()
    document = sell(lot, 10, on=SUMMER)
    back = {"plants": [(lot, 4)], "on": WINTER, "restock": restock}
    take_back(document=document, request_id=uuid4(), **back)

    assert together(Asked(), NOW).lost == 0


def test_each_winter_counts_what_stood_as_it_began():
    lot = potted(on=date(2023, 5, 1))
    write_off(lot, 10, on=date(2023, 7, 1))  # before it
    write_off(lot, 9, on=date(2024, 4, 2))  # the walk after the first: 81 of 90
    sell(lot, 41, on=SUMMER)
    write_off(lot, 2, on=WINTER)  # 38 of 40
    young = potted(50, "P2")
    write_off(young, 10, on=WINTER)  # its first: 40 of 50

    def by(what):
        return {g.name: round(g.end.alive, 6) for g in survivors(Asked(), what, NOW)}

    assert by(By.WINTER) == {"2023–24": 0.9, "2024–25": round(78 / 90, 6)}
    assert by(By.NTH) == {"First winter": round(121 / 140, 6), "Second winter": 0.95}


def test_a_winter_south_of_the_equator_lies_within_a_year():
    Nursery(name="South Bench", season_start_month=10, season_end_month=3).save()
    potted(on=date(2024, 2, 1))

    winters = winters_until(NOW)

    assert [str(winter) for winter in winters] == ["2024", "2025"]
    assert (winters[0].starts, winters[0].ends) == (date(2024, 4, 1), date(2024, 11, 30))


def test_plants_are_parted_by_kind_container_and_place():
    house, bed = PlaceFactory(name="Hoop house"), PlaceFactory(name="Bed")
    plant = PlantFactory(name="Ilex crenata")
    warm, cold = potted(plant=plant), potted(code="P2", size="#3")
    for lot, first in ((warm, bed), (cold, bed)):
        operations.move(lot=lot, place=first, on=POTTED, request_id=uuid4())
    operations.move(lot=warm, place=house, on=date(2024, 9, 20), request_id=uuid4())
    write_off(warm, 5, on=WINTER)
    write_off(cold, 20, on=WINTER)

    def by(what):
        return {g.name: round(g.year.alive, 2) for g in survivors(Asked(), what, NOW)}

    assert by(By.PLACE) == {"Hoop house": 0.95, "Bed": 0.8}
    assert by(By.CONTAINER) == {"#1": 0.95, "#3": 0.8}
    assert by(By.PLANT) == {"Ilex crenata": 0.95, str(cold.plant): 0.8}
    assert alive(Asked(place=house)) == alive(Asked(plant=plant)) == 0.95
    assert alive(Asked(container=container("#3"))) == 0.8


def test_the_question_is_one_however_many_lots(django_assert_num_queries):
    for number in range(4):
        potted(20, f"P{number}")

    with django_assert_num_queries(3):  # the first day, the nursery, the lives
        assert together(Asked(), NOW).came == 80


def test_a_lot_that_ages_since_before_the_ledger_is_watched_from_its_entry():
    lot = potted(on=WALK, kind="opening")
    Lot.objects.filter(pk=lot.pk).update(
        began_on=date(2023, 4, 1), transplanted_on=date(2024, 4, 20)
    )
    write_off(lot, 5, on=WALK + timedelta(days=10))

    point = together(Asked(), NOW).points[1]

    assert (point.age, point.watched, point.alive) == (375, 100, 0.95)


def test_the_page_says_it_in_words(client):
    lot = potted()
    write_off(lot, 9, on=WINTER)

    answer = as_grower(client).get(page("survival"), {"plant": lot.plant_id})
    winter = client.get(page("survival"), {"by": "winter"}).content.decode()

    assert "Of 100 potted up, 91 were alive a year on, likely 83 to 95." in answer.content.decode()
    assert "lost to winter" in answer.content.decode().lower()
    assert "2024–25" in winter
    assert b"<svg" in client.get(page("survival-chart")).content
    assert b"<svg" in client.get(page("survival-groups-chart"), {"by": "place"}).content


def test_the_page_asks_for_a_login_and_is_there_without_a_plant(client):
    assert client.get(page("survival")).status_code == 302

    client.force_login(UserFactory())

    assert "No plant" in client.get(page("survival")).content.decode()
