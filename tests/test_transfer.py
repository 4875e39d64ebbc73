"""`manage.py transfer`: a ledger moves from one database into another, whole or not at all."""

import shutil
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, connections

from inventory.models import LotBalance, Movement, Nursery, Plant
from nursery import exclusive, running
from nursery.homes.address import database_at
from nursery.homes.rows import sum_of
from nursery.homes.standing_in import asked_instead, opened_as, read_only_at_one_moment
from nursery.homes.tables import tables
from nursery.homes.transfer import FROM, TO, NotMoved, transfer
from nursery.homes.unfit import unfit
from nursery.models import Deed
from sales.models import Buyer
from tests.factories import BuyerFactory, PlantFactory
from tests.filled import fill_with_the_demo
from tests.test_ledger_file import all_kinds

AWKWARD = "\\N\t'Ä\"\n\\x41 {1,2} 🌱 %s ;--"


@pytest.fixture
def to_file(first_start, tmp_path):
    """Name a SQLite file with an empty ledger as the new home, and the tests' own as the old."""
    first_start.copy_to(tmp_path, database="new.sqlite3")
    connections[FROM] = connections["default"]
    with opened_as(TO, database_at(f"sqlite:///{tmp_path}/new.sqlite3")) as new:
        yield new
    del connections[FROM]


def moved() -> dict[str, int]:
    return transfer(say=lambda line: None).rows


def sums(alias: str) -> dict:
    return {table.name: sum_of(connections[alias], table) for table in tables()}


@pytest.mark.postgresql
@pytest.mark.django_db
def test_the_demo_moves_to_a_file_and_back_with_every_row_equal(to_file, cluster):
    fill_with_the_demo()
    buyer = BuyerFactory(name=AWKWARD)
    before = sums(FROM)

    rows = moved()
    with opened_as("back", database_at(cluster.with_the_tables("back"))) as back:
        connections[FROM], connections[TO] = to_file, back
        moved()

        assert sum(rows.values()) > 9_000
        assert sums(FROM) == sums(TO) == before
        with asked_instead(TO):
            assert Buyer.objects.get(pk=buyer.pk).name == AWKWARD
            last = Plant.objects.latest("pk").pk
            assert PlantFactory(name="Ilex crenata 'Next'").pk > last


@pytest.mark.django_db
def test_a_ledger_of_all_kinds_moves_and_is_written_on(to_file):
    all_kinds()
    gone = BuyerFactory(name=AWKWARD)
    number = gone.pk
    gone.delete()

    rows = moved()

    assert rows["inventory_movement"] == Movement.objects.count() > 10
    assert sums(TO) == sums(FROM)
    with asked_instead(TO):
        assert BuyerFactory().pk == number + 1, "a number once given is not given again"


@pytest.mark.django_db
def test_a_home_that_holds_a_ledger_is_left_as_it_is(to_file):
    with asked_instead(TO):
        Nursery.objects.create(name="Somebody's")

    with pytest.raises(NotMoved, match=r"holds a ledger already .*inventory_nursery"):
        moved()

    with asked_instead(TO):
        assert Nursery.objects.get().name == "Somebody's"


@pytest.mark.django_db
def test_a_row_that_comes_over_otherwise_takes_the_whole_move_back(to_file):
    all_kinds()
    with to_file.cursor() as cursor:
        cursor.execute(
            "CREATE TRIGGER meddle AFTER INSERT ON sales_buyer "
            "BEGIN UPDATE sales_buyer SET name = 'Another' WHERE id = NEW.id; END"
        )

    with pytest.raises(NotMoved, match="rows of sales_buyer did not come over"):
        moved()

    with asked_instead(TO):
        assert not Movement.objects.exists()


@pytest.mark.django_db
def test_a_ledger_that_does_not_verify_is_not_moved(to_file):
    all_kinds()
    LotBalance.objects.filter(on_hand__gt=0).update(on_hand=1)

    with pytest.raises(NotMoved, match="The old home does not verify:"):
        moved()

    with asked_instead(TO):
        assert not Movement.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("name, said", [("0001_x", "an earlier"), ("9999_x", "a later version")])
def test_a_ledger_of_another_version_is_not_moved(to_file, name, said):
    with to_file.cursor() as cursor:
        if name == "0001_x":
            cursor.execute("DELETE FROM django_migrations WHERE app = 'sales'")
        else:
            cursor.execute("INSERT INTO django_migrations VALUES (9999, 'sales', %s, '')", [name])

    with pytest.raises(NotMoved, match=f"The new home .*{said}"):
        moved()


@pytest.mark.sqlite
@pytest.mark.django_db
def test_what_postgresql_would_not_hold_is_named_by_table_row_and_column():
    good, bad = PlantFactory(), PlantFactory()
    long = BuyerFactory()
    all_kinds()
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE inventory_plant SET name = 'a' || char(0) WHERE id = {bad.pk}")
        cursor.execute(f"UPDATE sales_buyer SET name = printf('%0999d', 1) WHERE id = {long.pk}")
        cursor.execute("UPDATE inventory_lotbalance SET on_hand = 3000000000")

    found = list(unfit(connection, tables()))

    assert f"inventory_plant, row {bad.pk}, name: has a NUL character in it" in found
    assert f"sales_buyer, row {long.pk}, name: is longer than 80 letters" in found
    assert any("on_hand: is no whole number that has room there" in words for words in found)
    assert not [words for words in found if f"plant, row {good.pk}," in words]


@pytest.mark.sqlite
@pytest.mark.django_db
def test_the_command_says_what_stands_in_the_way(first_start, tmp_path):
    first_start.copy_to(tmp_path, database="old.sqlite3")
    old, new, none = (f"sqlite:///{tmp_path}/{name}.sqlite3" for name in ("old", "new", "none"))
    out = StringIO()
    shutil.copy(tmp_path / "old.sqlite3", tmp_path / "new.sqlite3")

    with exclusive.open_to_hold(running.note_file("", database_at(old))) as note:
        assert exclusive.try_to_hold(note)
        with pytest.raises(CommandError, match=r"The ledger is running at .*--while-running"):
            call_command("transfer", new, from_url=old)
        call_command("transfer", new, from_url=old, while_running=True, stdout=out)
    with pytest.raises(CommandError, match="the same database"):
        call_command("transfer", old, from_url=old)
    with pytest.raises(CommandError, match="There is no ledger at"):
        call_command("transfer", new, from_url=none)

    assert "Every row is equal, both homes prove right" in out.getvalue()
    with opened_as("new", database_at(new)), asked_instead("new"):
        assert Deed.objects.get().what == "carried the ledger over from another database"
    assert not (tmp_path / "none.sqlite3").exists()


@pytest.mark.django_db
def test_the_old_home_can_only_be_read(to_file):
    settings = connections[TO].settings_dict
    with (
        opened_as("read", settings, **read_only_at_one_moment(settings)),
        pytest.raises(DatabaseError, match="readonly"),
        asked_instead("read"),
    ):
        BuyerFactory()
