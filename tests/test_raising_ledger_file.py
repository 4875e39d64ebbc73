"""Methods, treatments, steps done, benches and rights survive the ledger file."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import Batch, BenchNote, MethodStep, Nursery, Person, Plant
from inventory.operations import methods
from inventory.operations.bench import note_bench, remove_bench_note
from inventory.operations.steps import tick_step, untick_step
from inventory.queries.batch_steps import steps_of
from sales.ledger_file.rows import RowError
from tests.factories import PlaceFactory, PlantFactory, lot_holding
from tests.test_ledger_file import assert_survives_the_way_out_and_in, exported, left_behind, read
from tests.test_methods import STUCK, nursery, stuck_by

pytestmark = pytest.mark.django_db
FEBRUARY = date(2026, 2, 10)


def raised():
    """A yew by a method of its own, two steps noted and one undone, a bench seen twice."""
    nursery()
    plant = PlantFactory(
        name="Taxus ×media 'Hicksii'",
        propagation_right="PP99999",
        right_filed_on=date(2010, 3, 14),
        licence="L-7",
        royalty=Decimal("0.35"),
        regulated="A phytosanitary note, with it.",
    )
    first = methods.copy_starter(key="conifers")
    own = methods.copy_method(method=first, name="Our yew, “warm”", plant=plant)
    methods.remove_method(method=first)
    batch = stuck_by(
        own,
        plant=plant,
        wood="hardwood",
        hormone="Rootmore",
        hormone_form="talc",
        hormone_ppm=8000,
        medium="perlite, sand",
        bottom_heat_c=Decimal("21.5"),
        taken_by=Person.objects.create(name="Ida", hourly_rate=Decimal(20)),
    )
    feed, heat = own.steps.get(work="feed"), own.steps.get(work="heat_off")
    tick = {"batch": batch, "on": FEBRUARY}
    tick_step(**tick, step=feed, skipped_for="too wet, “soggy”", request_id=uuid4())
    tick_step(**tick, step=heat, request_id=uuid4())
    undone = tick_step(**tick, step=own.steps.get(work="harden"), request_id=uuid4())
    untick_step(done=undone, request_id=uuid4())
    methods.edit_step(step=heat, name="Heat away")
    bench = {"place": PlaceFactory(name="Warm bench"), "on": FEBRUARY}
    note_bench(**bench, moisture="dry", temperature_c=Decimal("20.5"), request_id=uuid4())
    remove_bench_note(note=note_bench(**bench, moisture="wet", request_id=uuid4()))


def known():
    """Return all that is known of how plants are raised, without keys."""
    batch = Batch.objects.select_related("method", "taken_by").get()
    facts = [str(getattr(batch, name)) for name in ("treatment", "wood", "hormone_ppm", "medium")]
    facts += [batch.method.name, batch.taken_by.name, batch.bottom_heat_c, batch.hormone_form]
    steps = [
        (row.step.position, row.window, row.state, row.done and (row.done.what, row.done.reason))
        for row in steps_of(batch, FEBRUARY, Nursery.current())
    ]
    columns = ("method__name", "position", "work", "name", "after__position", "note", "source")
    written = list(MethodStep.objects.order_by("method__name", "position").values_list(*columns))
    rights = Plant.objects.values_list("royalty", "right_filed_on", "licence", "regulated").get()
    notes = list(
        BenchNote.objects.filter(is_removed=False).values_list(
            "place__name", "moisture", "temperature_c"
        )
    )
    return facts, steps, written, rights, notes


def test_how_plants_are_raised_survives_the_way_out_and_in():
    with left_behind():
        raised()
        before, file = known(), exported()

    read(file)

    assert known() == before
    assert exported() == file
    assert read(file) == 0, "the same file again writes nothing"


def test_the_reports_of_such_a_ledger_are_equal():
    assert_survives_the_way_out_and_in(raised, STUCK, FEBRUARY)


def test_a_ledger_without_methods_keeps_its_plain_file():
    lot_holding(20)

    rows = exported().splitlines()

    assert len(rows) == 2 and rows[0].endswith("document,note")


HEAD = "date,event,batch,quantity,category,cause,treatment,note\n"


@pytest.mark.parametrize(
    ("row", "wrong"),
    [
        ("2026-02-10,batch,X,,wood,,,hardwood", "there is no batch X"),
        ("2026-02-10,method,,,driftwood,,Yew,", "is no wood"),
        ("2026-02-10,method_step,,1,feed,Feed,Yew,", "there is no method Yew"),
        ("2026-02-10,frost,,,last_frost,,,spring", "write month and day, as 05-15"),
        ("2026-02-10,method,,,seed,,Yew,nonsense", "write its facts as JSON"),
    ],
)
def test_a_wrong_row_is_refused_with_what_would_be_right(row, wrong):
    with pytest.raises(RowError, match=wrong):
        read(HEAD + row + "\n")
