"""The work list: what becomes due by method and by what stands, and when it is done."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest
import recurring_ical_events
from icalendar import Calendar

from inventory import operations
from inventory.errors import AlreadyUndone, LedgerError
from inventory.models import BenchNote, Lot, Place, StepDone
from inventory.operations import methods
from inventory.operations.bench import note_bench, put_bench_note_back, remove_bench_note
from inventory.operations.steps import (
    DoneBefore,
    enter_for_step,
    tick_step,
    tick_steps,
    untick_step,
    untick_steps,
)
from inventory.queries.batch_steps import steps_of
from inventory.queries.due_steps import due_steps
from inventory.queries.work_list import Week, week_of_work
from nursery.calendars import calendar_text
from nursery.coming import coming_events
from tests.entering import as_grower, page, sent
from tests.factories import PlaceFactory, UserFactory, container
from tests.test_methods import STUCK, nursery, stuck_by

pytestmark = pytest.mark.django_db


@pytest.fixture
def here():
    return nursery()


@pytest.fixture
def batch(here):
    """Forty yews stuck on 20 November 2025 in a heated house, by the conifers' method."""
    made = stuck_by(methods.copy_starter(key="conifers"))
    place = PlaceFactory(name="Warm bench", heated=True)
    operations.move(lot=Lot.objects.get(), place=place, on=STUCK, request_id=uuid4())
    return made


def step_of(batch, work):
    return batch.method.steps.get(work=work)


def works(on, here):
    return [(row.step.work, row.state) for row in due_steps(on, here)]


def tick(batch, work, on=STUCK, **more):
    return tick_step(batch=batch, step=step_of(batch, work), on=on, request_id=uuid4(), **more)


def test_a_step_is_coming_then_due_then_overdue_and_at_last_forgotten(batch, here):
    states = {
        day: dict(works(day, here)).get("heat_off")
        for day in (date(2025, 12, 3), date(2025, 12, 11), date(2025, 12, 12), date(2026, 6, 20))
    }

    assert list(states.values()) == ["coming", "due", "overdue", None]


def test_heat_is_off_once_the_tray_left_the_heated_place(batch, here):
    cold = PlaceFactory(name="Cold house")

    moved = operations.move(
        lot=Lot.objects.get(), place=cold, on=date(2025, 12, 8), request_id=uuid4()
    )

    assert "heat_off" not in dict(works(date(2025, 12, 9), here))
    operations.reverse(operation=moved, request_id=uuid4())
    assert "heat_off" in dict(works(date(2025, 12, 9), here))


def test_what_follows_the_count_counts_from_its_day(batch, here):
    rows = {row.step.work: row for row in steps_of(batch, STUCK, here)}
    # 10 to 14 weeks after 20 November 2025: 29 January to 26 February 2026.
    assert rows["root_count"].window.first == date(2026, 1, 29)
    assert rows["feed"].window.first == date(2026, 2, 5)

    operations.root_count(lot=Lot.objects.get(), alive=30, on=date(2026, 2, 20), request_id=uuid4())

    rows = {row.step.work: row for row in steps_of(batch, date(2026, 3, 1), here)}
    assert (rows["root_count"].state, rows["feed"].state) == ("done", "due")
    assert rows["feed"].window.first == date(2026, 2, 27)


def test_potting_up_is_due_for_the_trays_that_are_left_and_covers_for_the_pots(batch, here):
    lot, may = Lot.objects.get(), date(2026, 5, 10)
    operations.pot_up(
        lot=lot, quantity=25, to_lot="P", container=container("#1"), on=may, request_id=uuid4()
    )

    due = {row.step.work: row for row in due_steps(may, here)}
    assert [(row.code, row.balance.on_hand) for row in due["pot_up"].lots] == [("TXH-25A", 15)]
    operations.pot_up(lot=lot, quantity=15, to_lot="P", container=None, on=may, request_id=uuid4())

    rows = {row.step.work: row for row in steps_of(batch, may, here)}
    assert (rows["pot_up"].state, rows["pot_up"].done_on) == ("done", may)
    assert [lot.code for lot in rows["cover"].lots] == ["P"]
    assert rows["cover"].window.first == date(2026, 11, 14), "a month after the next first frost"


def test_a_step_is_ticked_once_and_done_again_only_after_an_undo(batch, here):
    done = tick(batch, "heat_off", date(2025, 12, 6))
    again = {"batch": batch, "step": done.step, "on": done.date, "request_id": done.request_id}
    assert tick_step(**again) == done
    with pytest.raises(DoneBefore, match="06 December 2025"):
        tick(batch, "heat_off", date(2025, 12, 7))
    assert "heat_off" not in dict(works(date(2025, 12, 11), here))

    key = uuid4()
    undone = untick_step(done=done, request_id=key)
    assert untick_step(done=done, request_id=key) == undone
    with pytest.raises(AlreadyUndone):
        untick_step(done=done, request_id=uuid4())
    assert dict(works(date(2025, 12, 11), here))["heat_off"] == "due"

    assert tick(batch, "heat_off", date(2025, 12, 7)).follows == undone


def test_a_step_is_left_out_with_a_reason_and_no_day_before_the_batch_is_taken(batch, here):
    tick(batch, "feed", date(2026, 2, 10), skipped_for="too wet")
    assert [row.done.reason for row in steps_of(batch, STUCK, here) if row.done] == ["too wet"]

    with pytest.raises(LedgerError, match="Enter that day or a later one"):
        tick(batch, "heat_off", STUCK - timedelta(days=1))
    other = methods.copy_starter(key="seed-spring")
    with pytest.raises(LedgerError, match="is not raised by"):
        tick_step(batch=batch, step=other.steps.first(), on=STUCK, request_id=uuid4())


def test_undoing_the_entry_that_did_a_step_undoes_the_step(batch, here):
    lot, february = Lot.objects.get(), date(2026, 2, 10)
    feed = step_of(batch, "feed")
    entered = enter_for_step(
        batch=batch,
        step=feed,
        write=lambda: operations.add_cost(
            lot=lot, costs={"feed": 4}, on=february, request_id=uuid4()
        ),
    )
    assert StepDone.objects.get().operation == entered
    assert "feed" not in dict(works(february, here))

    operations.reverse(operation=entered, request_id=uuid4())

    assert dict(works(february, here))["feed"] == "due"
    assert tick(batch, "feed", february).follows.operation == entered


def test_no_plants_no_work_and_a_frost_not_told_no_days(batch, here):
    here.last_frost_month = here.last_frost_day = None
    assert {row.step.work for row in steps_of(batch, STUCK, here) if row.state == "untimed"} == {
        *("harden", "pot_up", "cover", "uncover", "top_dress", "ready")
    }

    operations.take_out(kind="use", lot=Lot.objects.get(), quantity=40, on=STUCK,
                        request_id=uuid4())  # fmt: skip
    assert due_steps(date(2025, 12, 6), here) == []


def test_the_questions_asked_do_not_grow_with_the_batches(batch, here, django_assert_num_queries):
    with django_assert_num_queries(7):
        assert due_steps(date(2025, 12, 6), here)


def test_a_week_has_what_is_open_on_its_monday_or_becomes_due_in_it(batch, here):
    week = Week.of(date(2025, 12, 6))

    (stretch,) = week_of_work(week, here).stretches

    assert week.code == "2025-W49"
    (there,) = stretch.places
    assert (there.place, [row.step.work for row in there.rows]) == ("Warm bench", ["heat_off"])


def test_one_tap_on_the_list_ticks_a_step_and_undo_brings_it_back(client, batch):
    tapped = sent(date(2026, 11, 25), step=f"{batch.pk}-{step_of(batch, 'heat_off').pk}")
    as_grower(client)

    for _ in range(2):
        answer = client.post(page("steps-done"), tapped, follow=True)
    assert "“Bottom heat off” done" in answer.content.decode()

    client.post(f"{page('steps-undo')}?done={StepDone.objects.get().pk}")
    told = client.get(page("batch", batch.pk)).content.decode()
    assert StepDone.objects.count() == 2 and "Bottom heat off" in told


def test_the_same_step_of_several_batches_is_ticked_in_one_walk_and_undone_together(batch, here):
    steps = [(batch, step_of(batch, "heat_off")), (batch, step_of(batch, "feed"))]
    key, day = uuid4(), date(2026, 2, 10)

    done = tick_steps(steps=steps, on=day, request_id=key)
    assert tick_steps(steps=steps, on=day, request_id=key) == done
    assert tick_steps(steps=steps, on=day, request_id=uuid4()) == []

    for _ in range(2):
        untick_steps(done=done)
    assert {row.kind for row in StepDone.objects.all()} == {"done", "undone"}
    assert {"heat_off", "feed"} & dict(works(day, here)).keys()


def test_a_step_is_left_out_on_its_page_only_with_a_reason(client, batch):
    address = page("batch-step", batch.pk, step_of(batch, "feed").pk)
    as_grower(client)

    refused = client.post(address, sent(date(2026, 2, 6), leave_out="1"))
    assert "Say why it is left out" in refused.content.decode()

    client.post(address, sent(date(2026, 2, 6), leave_out="1", reason="rooted early"))
    assert StepDone.objects.get().kind == "skipped"


def test_an_entry_opened_from_the_list_ticks_its_step(client, batch):
    lot, feed = Lot.objects.get(), step_of(batch, "feed")
    address = f"{page('add-cost', lot.pk)}?step={batch.pk}-{feed.pk}"

    as_grower(client).post(address, sent(date(2026, 2, 6), amount="4.00", category="feed"))

    done = StepDone.objects.get()
    assert (done.step, done.operation.kind) == (feed, "cost")


def test_pages_of_work_are_closed_to_who_may_not_tick(client, batch):
    client.force_login(UserFactory())
    step, place = step_of(batch, "feed"), Place.objects.get()

    assert client.get(page("works")).status_code == 200
    assert client.get(page("place", place.pk)).status_code == 200
    tapped = sent(step=f"{batch.pk}-{step.pk}")
    assert client.post(page("steps-done"), tapped).status_code == 403
    assert client.post(page("place", place.pk), sent(moisture="dry")).status_code == 403
    assert not StepDone.objects.exists() and not BenchNote.objects.exists()


def test_a_bench_is_noted_with_one_tap_in_the_nurserys_degrees(client, batch):
    place = Place.objects.get()
    typed = sent(date(2025, 12, 1), moisture="right", temperature="70")

    for _ in range(2):
        as_grower(client).post(page("place", place.pk), typed)

    note = BenchNote.objects.get()
    # 70 °F is 21.1 °C.
    assert (note.moisture, str(note.temperature_c)) == ("right", "21.1")
    assert "medium right, 70 °F" in client.get(
        page("place", place.pk)
    ).content.decode().lower().replace("°f", "°F")


def test_a_bench_note_says_something_possible_and_can_be_taken_back():
    place, key = PlaceFactory(), uuid4()
    with pytest.raises(LedgerError, match="Say how moist"):
        note_bench(place=place, on=STUCK, request_id=uuid4())
    with pytest.raises(LedgerError, match="no temperature of a bench"):
        note_bench(place=place, on=STUCK, temperature_c=99, request_id=uuid4())
    note = note_bench(place=place, on=STUCK, moisture="dry", request_id=key)
    assert note_bench(place=place, on=STUCK, moisture="wet", request_id=key) == note

    remove_bench_note(note=note)
    assert not place.bench_notes.filter(is_removed=False).exists()
    put_bench_note_back(note=note)
    assert place.bench_notes.get(is_removed=False) == note


def test_the_sheet_of_a_week_is_a_pdf(client, batch):
    answer = as_grower(client).get("/work/2025-W49.pdf")

    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF")
    assert client.get("/work/2025-W60.pdf").status_code == 404


def calendar_on(day):
    """Read the calendar of a day back, by a library that knows nothing of this ledger."""
    text = calendar_text(
        coming_events(day),
        name="Work",
        seed=UUID(int=7),
        whole=lambda path: f"https://example.org{path}",
        at=datetime(2025, 11, 20, 8, tzinfo=UTC),
    )
    return Calendar.from_ical(text)


def event_of(calendar, title):
    return next(event for event in calendar.events if event["summary"].startswith(title))


def test_steps_stand_in_the_calendar_from_their_first_day_through_their_last(batch):
    # Stuck 20 November 2025, counted after 10 to 14 weeks: 29 January to 26 February 2026; an
    # event ends the day after its last (RFC 5545, 3.6.1).
    calendar = calendar_on(STUCK)
    event = event_of(calendar, "Count what rooted: TXH-25A")

    assert (event.start, event.end) == (date(2026, 1, 29), date(2026, 2, 27))
    assert "40 in lot TXH-25A, Warm bench" in event["description"]
    days = recurring_ical_events.of(calendar)
    named = [[one["uid"] for one in days.at(date(2026, 2, day))] for day in (26, 27)]
    assert event["uid"] in named[0] and event["uid"] not in named[1]
    titles = [one["summary"] for one in calendar.events]
    assert not any(title.startswith("Count the rooted") for title in titles), "told once only"


def test_a_step_keeps_its_name_in_the_calendar_when_its_days_change_and_leaves_when_done(batch):
    before = event_of(calendar_on(STUCK), "Count what rooted")
    methods.edit_step(step=step_of(batch, "root_count"), from_days=84, to_days=98)

    after = event_of(calendar_on(STUCK), "Count what rooted")
    assert (after["uid"], after.start) == (before["uid"], date(2026, 2, 12))

    operations.root_count(lot=Lot.objects.get(), alive=30, on=STUCK, request_id=uuid4())
    assert after["uid"] not in [event["uid"] for event in calendar_on(STUCK).events]
