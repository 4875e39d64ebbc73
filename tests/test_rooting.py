"""What roots: batches grouped, two compared, and batch by batch. Sums are worked by hand."""

from datetime import date

import pytest

from inventory.models import Batch
from inventory.queries.rooting import Comparison, charted, grouped, together
from inventory.queries.strikes import struck
from inventory.templatetags.rooting_words import compared_words, verdict
from tests.entering import as_grower, page
from tests.factories import PlantFactory, UserFactory, lot_holding
from tests.growing_scenes import count_rooted, undo

pytestmark = pytest.mark.django_db

JUNE, JULY = date(2024, 6, 10), date(2025, 7, 1)


def stuck(code, cuttings, rooted=None, treatment="", on=JUNE, plant=None):
    """Stick a tray; where `rooted` is told, count it in autumn."""
    plant = plant or PlantFactory()
    lot = lot_holding(cuttings, code, size="tray", plant=plant, on=on, batch=code)
    Batch.objects.filter(code=code).update(treatment=treatment)
    if rooted is not None:
        return count_rooted(lot, rooted, on=on.replace(month=10))
    return None


def two_rates(weak=72, strong=81):
    plant = PlantFactory(name="Hydrangea paniculata")
    stuck("A", 60, weak - 40, "IBA 3000 ppm", plant=plant)
    stuck("B", 40, 40, "iba  3000 ppm", on=JULY, plant=plant)
    stuck("C", 100, strong, "IBA 8000 ppm", on=JULY, plant=plant)
    stuck("D", 50, None, "IBA 8000 ppm", on=JULY, plant=plant)
    return plant


def by(what):
    groups = grouped(struck(Batch.objects.all()), what)
    return {group.name: (group.strike.rooted, group.strike.counted) for group in groups}


def test_batches_are_grouped_by_what_they_have_in_common():
    two_rates()

    assert by("treatment") == {"IBA 8000 ppm": (81, 100), "IBA 3000 ppm": (72, 100)}
    assert by("month") == {"June": (32, 60), "July": (121, 140)}
    assert by("plant") == {"Hydrangea paniculata": (153, 200)}
    assert by("stock_plant") == {"no stock plant noted": (153, 200)}


def test_only_counted_batches_count_and_the_others_are_told():
    two_rates()

    strike = together(struck(Batch.objects.all())).strike

    assert (strike.rooted, strike.counted, strike.waiting) == (153, 200, 50)


def test_one_plant_is_grouped_by_treatment_where_any_is_noted_else_by_month(client):
    plain = PlantFactory()
    stuck("E", 30, 20, plant=plain)
    as_grower(client)

    def choices(plant):
        text = client.get(page("rooting"), {"plant": plant.pk}).text
        return text.partition('name="by"')[2].partition("</select>")[0].split("<option")[1]

    assert "Month stuck" in choices(plain)
    assert "Treatment" in choices(two_rates())


def test_an_undone_count_is_no_count():
    undo(stuck("A", 60, 32))

    assert together(struck(Batch.objects.all())).strike.counted == 0


def comparison(**rooted):
    two_rates(**rooted)
    return Comparison.of(*grouped(struck(Batch.objects.all()), "treatment"))


def test_two_rates_that_cannot_be_told_apart_yet():
    words = compared_words(comparison())

    assert words == (
        "IBA 3000 ppm rooted 72 of 100, IBA 8000 ppm rooted 81 of 100: 9 more in a hundred, "
        "likely between 3 fewer and 20 more. Not enough cuttings to tell yet; about 250 more "
        "of each, 500 in all, most likely would."
    )


def test_a_better_rate_is_said_to_be_better():
    compared = comparison(weak=50, strong=90)

    assert verdict(compared) == "IBA 8000 ppm roots better."
    assert "40 more in a hundred, likely between 28 and 51 more" in compared_words(compared)
    assert "less than once in 1,000 times" in compared_words(compared)


def test_a_batch_beyond_chance_is_marked():
    # Of all it is 420 of 500, .84 ± 3 × .03666, and D is below; of the others 360 of 400,
    # and the limits for 100 are .90 ± 3 × .03 = .81 to .99.
    for code, rooted in zip("ABCDE", (90, 92, 88, 60, 90), strict=True):
        stuck(code, 100, rooted)

    chart = charted(struck(Batch.objects.all()))

    assert chart.usual == pytest.approx(0.9)
    assert [(row.least, row.most) for row in chart.rows[:1]] == [(81.0, 99.0)]
    assert [row.batch.code for row in chart.low] == ["D"]
    assert not chart.high and not chart.is_restless


def test_the_questions_are_as_many_for_many_batches(django_assert_num_queries):
    for number in range(5):
        stuck(f"T{number}", 30, 20)

    with django_assert_num_queries(2):
        assert len(struck(Batch.objects.all())) == 5


PAGES = ("rooting", "rooting-compare", "rooting-batches")


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("rooting", ("76.5%", "rooted of 200 counted", "50 more are not counted yet")),
        ("rooting-compare", ("72 of 100", "It cannot be told yet")),
        ("rooting-batches", ("struck less than chance alone explains", "76.5%")),
    ],
)
def test_the_pages_say_it_in_words(client, name, told):
    plant = two_rates()

    answer = as_grower(client).get(page(name), {"plant": plant.pk})

    text = answer.content.decode()
    assert all(words in text for words in told), text
    empty = client.get(page(name), {"since": "2031-01-01", "one": "x", "other": "y"})
    assert empty.status_code == 200


@pytest.mark.parametrize("name", ["rooting-chart", "rooting-batches-chart"])
def test_the_pictures_are_drawn(client, name):
    two_rates()

    answer = as_grower(client).get(page(name), {"narrow": 1})

    assert answer["Content-Type"] == "image/svg+xml"
    assert b"<svg" in answer.content


def test_the_groups_are_a_file_too_and_ask_for_a_login(client):
    two_rates()
    assert client.get(page("rooting")).status_code == 302

    client.force_login(UserFactory())
    text = client.get(page("rooting"), {"_export": "csv", "by": "treatment"}).content.decode()

    assert "IBA 8000 ppm,2,81,72.2,87.5,81,100,50" in text
