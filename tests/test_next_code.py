"""The codes that are proposed."""

from datetime import date

import pytest

from inventory.queries.next_code import (
    first_lot_code,
    initials,
    next_batch_code,
    next_part_code,
    next_pot_code,
)
from tests.factories import PlantFactory, container, lot_holding

pytestmark = pytest.mark.django_db
DAY = date(2026, 5, 20)


@pytest.mark.parametrize(
    ("name", "letters"),
    [
        ("Thuja occidentalis 'Smaragd'", "TOS"),
        ("Thuja 'Green Giant'", "TGG"),
        ("Taxus ×media 'Hicksii'", "TMH"),
        ("Taxus x media cv. Hicksii", "TMH"),
        ("Buxus 'Rosa'", "BUR"),
        ("Ilex", "ILE"),
        ("Hydrangea paniculata 'Pale Evening Lamp'", "HEL"),
        ("4711", "PLA"),
    ],
)
def test_a_plant_gives_its_initials(name, letters):
    assert initials(name) == letters


def test_a_plant_keeps_the_letters_its_batches_bear():
    plant = PlantFactory(name="Taxus ×media 'Hicksii'")
    lot_holding(5, "TXH-24A", size="tray", plant=plant, batch="TXH-24A")

    assert next_batch_code("Taxus x media 'Hicksii'", DAY) == "TXH-26A"
    assert next_batch_code("Taxus x media 'Hicksii'", date(2024, 9, 1)) == "TXH-24B"


def test_another_plant_of_the_same_initials_gets_other_letters():
    plant = PlantFactory(name="Buxus 'Green Velvet'")
    lot_holding(5, "BGV-26A", size="tray", plant=plant, batch="BGV-26A")

    assert next_batch_code("Berberis 'Golden Valley'", DAY) == "BGA-26A"


def test_after_z_come_two_letters():
    plant = PlantFactory(name="Buxus 'Green Velvet'")
    for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
        code = f"BGV-26{letter}"
        lot_holding(1, code, size="tray", plant=plant, batch=code)

    assert next_batch_code(plant.name, DAY) == "BGV-26AA"


def test_the_first_lot_is_the_batch_in_a_tray_and_named_for_its_pot_else():
    assert first_lot_code("BGV-26A", container("tray")) == "BGV-26A"
    assert first_lot_code("BGV-26A", container("#1")) == "BGV-26A-1"


def test_a_pot_is_named_for_its_container_and_a_second_one_gets_a_letter():
    plant = PlantFactory()
    tray = lot_holding(50, "BGV-26A", size="tray", plant=plant)
    assert next_pot_code(tray, container("#1")) == "BGV-26A-1"

    pot = lot_holding(9, "BGV-26A-1", plant=plant)
    assert next_pot_code(tray, container("#1")) == "BGV-26A-1B"
    assert next_pot_code(pot, container("#3")) == "BGV-26A-3"
    assert next_part_code(pot) == "BGV-26A-1B"
    assert next_pot_code(lot_holding(9, "BGV-26A-1B", plant=plant), container("#3")) == "BGV-26A-3"


def test_a_code_of_another_shape_is_built_on():
    lot = lot_holding(9, "old hedge", size="tray")

    assert next_pot_code(lot, container("#5")) == "old hedge-5"
