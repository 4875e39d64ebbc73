"""The sheet of a walk: the verb, and its pages."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.errors import NotEnoughPlants
from inventory.models import ExpectedLoss, LotBalance, Movement, Operation
from inventory.operations.walk import Looked, SheetHasAged, write_off_walk
from tests.entering import MAY_DAY, as_grower, kept_figures, opened, page, sent, undo_last
from tests.factories import PlaceFactory, UserFactory, cause, container, lot_holding, sell_from

pytestmark = pytest.mark.django_db


def look(lot, alive, held, **more):
    """Return what somebody saw of a lot."""
    return Looked(lot, alive, more.pop("lost_to", None) or cause("winter"), held, **more)


def walk(*looked, on=MAY_DAY, **more):
    """Write off what the walk found."""
    return write_off_walk(looked=looked, on=on, request_id=more.pop("request_id", uuid4()), **more)


def expect(percent, stage="growing"):
    """Let all plants of a stage be expected to lose so many percent."""
    ExpectedLoss.objects.create(stage=stage, percent=Decimal(percent))


def sheet(*rows, **more):
    """Return a sheet as the page would send it: (lot, on the sheet, alive) for each lot."""
    what = sent(cause_for_all=cause("winter").pk)
    for lot, held, alive in rows:
        what |= {f"held_{lot.pk}": held, f"alive_{lot.pk}": alive}
    return what | more


def test_a_walk_writes_off_what_is_no_longer_alive_as_one_entry():
    first, second = lot_holding(52, "L1"), lot_holding(30, "L2")

    operation = walk(look(first, 40, 52), look(second, 29, 30, lost_to=cause("pest")))

    assert LotBalance.objects.get(lot=first).on_hand == 40
    assert LotBalance.objects.get(lot=second).on_hand == 29
    causes = operation.movements.values_list("quantity", "cause__code")
    assert set(causes) == {(12, "winter"), (1, "pest")}


def test_what_the_stage_allows_is_normal_and_the_rest_is_expensed():
    # IAS 2 para 16(a): abnormal wasted materials are no cost of inventories.
    expect("10")
    lot = lot_holding(50, medium="150.00")

    walk(look(lot, 42, 50))

    # 5 of 50 are allowed for; 150 over 45 is 3.333333 each; 3 of those are expensed.
    kinds = dict(Movement.objects.exclude(kind="begun").values_list("kind", "quantity"))
    assert kinds == {"lost": 5, "lost_abnormal": 3}
    assert LotBalance.objects.get(lot=lot).cost == Decimal("140.000000")


def test_a_sheet_that_has_aged_is_not_taken():
    lot = lot_holding(52)
    sell_from(lot, 5, on=MAY_DAY)

    with pytest.raises(SheetHasAged, match="held 52 when the sheet was made and holds 47 now"):
        walk(look(lot, 45, 52))

    assert LotBalance.objects.get(lot=lot).on_hand == 47


def test_more_alive_than_the_books_have_is_refused():
    with pytest.raises(NotEnoughPlants):
        walk(look(lot_holding(10), 11, 10))


def test_where_all_are_alive_the_walk_is_a_count():
    lot = lot_holding(10)

    operation = walk(look(lot, 10, 10))

    assert operation.kind == "count"
    assert operation.counts.get().found == 10
    assert not operation.movements.exists()


def test_pressed_twice_the_verb_writes_once():
    lot, request_id = lot_holding(10), uuid4()

    first = walk(look(lot, 8, 10), request_id=request_id)

    assert walk(look(lot, 8, 10), request_id=request_id) == first
    assert LotBalance.objects.get(lot=lot).on_hand == 8


def test_the_sheet_shows_the_lots_of_a_place_and_its_parts(client):
    house = PlaceFactory(name="Hoop house")
    bench = PlaceFactory(name="Bench 1", parent=house)
    for code, place in (("HERE", house), ("PART", bench), ("ELSEWHERE", PlaceFactory())):
        stand(lot_holding(5, code), place)

    text = (
        as_grower(client).get(page("write-off"), {"place": house.pk}, follow=True).content.decode()
    )

    assert "HERE" in text and "PART" in text and "ELSEWHERE" not in text


def test_the_sheet_shows_the_lots_of_a_container(client):
    lot_holding(5, "IN-ONE")
    lot_holding(5, "IN-THREE", size="#3")

    answer = as_grower(client).get(
        page("write-off"), {"container": container("#3").pk}, follow=True
    )

    assert "IN-THREE" in answer.content.decode() and "IN-ONE" not in answer.content.decode()


def test_a_sheet_for_a_past_day_says_what_was_on_hand_then(client):
    lot = lot_holding(52)
    sell_from(lot, 50, on=date(2025, 6, 1))

    answer = as_grower(client).get(page("write-off"), {"on": "2025-05-01"}, follow=True)

    (row,) = answer.context["form"].rows
    assert row.on_hand == 52


def test_a_lot_sold_out_since_is_on_the_sheet_of_that_day(client):
    lot = lot_holding(4)
    sell_from(lot, 4, on=date(2025, 6, 1))

    assert (
        len(
            as_grower(client)
            .get(page("write-off"), {"on": MAY_DAY}, follow=True)
            .context["form"]
            .rows
        )
        == 1
    )
    assert not client.get(page("write-off"), follow=True).context["form"].rows


def test_the_check_says_what_counts_how_and_costs_what_and_writes_nothing(client):
    expect("10")
    lot = lot_holding(50, medium="150.00")

    answer = as_grower(client).post(page("write-off"), sheet((lot, 50, 42), check="1"))

    (line,) = answer.context["lines"]
    assert (line.loss.normal, line.loss.abnormal) == (5, 3)
    assert (line.loss.carried, line.loss.expensed) == (Decimal("15"), Decimal("10"))
    text = answer.content.decode()
    assert "Write off 8 plants?" in text and "5 as expected, 3 beyond" in text
    assert Operation.objects.count() == 1


def test_the_check_comes_true(client):
    expect("7")
    lot = lot_holding(43, medium="100.01")
    form = sheet((lot, 43, 29))

    checked = as_grower(client).post(page("write-off"), form | {"check": "1"})
    client.post(page("write-off"), form | {"save": "1"})

    foreseen = checked.context["totals"].expensed
    assert LotBalance.objects.get(lot=lot).cost == Decimal("100.01") - foreseen


def test_the_page_saves_the_sheet_and_leaves_out_what_was_not_looked_at(client):
    first, second, third = (lot_holding(10, f"L{n}") for n in range(3))
    form = sheet((first, 10, 8), (second, 10, ""), (third, 10, 0), save="1")
    form[f"cause_{third.pk}"] = cause("pest").pk

    answer = as_grower(client).post(page("write-off"), form, follow=True)

    held = LotBalance.objects.order_by("lot__code").values_list("on_hand", flat=True)
    assert list(held) == [8, 10, 0]
    assert "Wrote off 12 plants of 2 lots." in answer.content.decode()
    assert Movement.objects.get(from_lot=third).cause == cause("pest")


def test_pressed_twice_the_page_writes_once(client):
    lot = lot_holding(10)
    form = sheet((lot, 10, 8), save="1")

    for _ in range(2):
        assert as_grower(client).post(page("write-off"), form).status_code == 302

    assert LotBalance.objects.get(lot=lot).on_hand == 8
    assert Operation.objects.count() == 2


@pytest.mark.parametrize("button", ["check", "save"])
def test_plants_sold_meanwhile_bring_the_sheet_back_with_new_figures(client, button):
    lot = lot_holding(52)
    form = sheet((lot, 52, 45))
    sell_from(lot, 5, on=MAY_DAY)

    answer = as_grower(client).post(page("write-off"), form | {button: "1"})

    text = answer.content.decode()
    assert "held 52 when the sheet was made" in text
    assert f'name="held_{lot.pk}" value="47"' in text and 'value="45"' in text
    assert LotBalance.objects.get(lot=lot).on_hand == 47

    form[f"held_{lot.pk}"] = 47
    client.post(page("write-off"), form | {"save": "1"})
    assert LotBalance.objects.get(lot=lot).on_hand == 45


def test_a_lot_sold_out_meanwhile_is_not_dropped_in_silence(client):
    lot = lot_holding(5)
    form = sheet((lot, 5, 4), save="1")
    sell_from(lot, 5, on=MAY_DAY)

    answer = as_grower(client).post(page("write-off"), form)

    assert "held 5 when the sheet was made and holds 0 now" in answer.content.decode()


def test_overruling_asks_for_the_reason_and_keeps_it(client):
    lot = lot_holding(10, medium="10.00")
    form = sheet((lot, 10, 8), save="1")
    form[f"treatment_{lot.pk}"] = "abnormal"

    answer = as_grower(client).post(page("write-off"), form)
    assert "say why" in answer.content.decode()
    assert Operation.objects.count() == 1

    client.post(page("write-off"), form | {"reason": "the fan failed"})
    assert Movement.objects.get(from_lot=lot).kind == "lost_abnormal"
    assert Operation.objects.latest("pk").note == "the fan failed"
    assert LotBalance.objects.get(lot=lot).cost == Decimal("8")


def test_an_empty_sheet_says_what_is_missing(client):
    lot = lot_holding(10)

    answer = as_grower(client).post(page("write-off"), sheet((lot, 10, ""), check="1"))

    assert "at least one lot" in answer.content.decode()


def test_a_mistake_keeps_what_was_typed(client):
    first, second = lot_holding(10, "L1"), lot_holding(10, "L2")
    form = sheet((first, 10, -3), (second, 10, 7), note="after the frost", check="1")

    answer = as_grower(client).post(page("write-off"), form)

    text = answer.content.decode()
    assert answer.status_code == 200 and "L1, alive now" in text
    assert 'value="7"' in text and "after the frost" in text


def test_back_to_the_sheet_keeps_what_was_typed(client):
    lot = lot_holding(10)

    answer = as_grower(client).post(page("write-off"), sheet((lot, 10, 7), again="1"))

    assert f'name="alive_{lot.pk}" value="7"' in answer.content.decode()


def test_undo_restores_every_figure(client):
    expect("10")
    first = lot_holding(50, "L1", medium="150.00")
    second = lot_holding(20, "L2", medium="30.00")
    before = kept_figures()

    form = sheet((first, 50, 40), (second, 20, 0), save="1")
    as_grower(client).post(page("write-off"), form)
    assert kept_figures() != before
    undo_last(client)

    assert kept_figures() == before


def test_a_backdated_loss_says_how_many_sales_changed_and_undo_brings_them_back(client):
    lot = lot_holding(40, medium="40.00")
    for day in range(1, 11):
        sell_from(lot, 1, on=date(2025, 6, day))
    before = kept_figures()

    form = sheet((lot, 40, 30), save="1")
    answer = as_grower(client).post(page("write-off"), form, follow=True)
    assert "10 later sales got their new cost." in answer.content.decode()

    answer = undo_last(client)
    assert "10 later sales got their new cost." in answer.content.decode()
    assert kept_figures() == before


def test_sixty_lots_are_no_trouble(client, django_assert_max_num_queries):
    lots = [lot_holding(20, f"L{number:02}") for number in range(60)]
    as_grower(client)

    with django_assert_max_num_queries(14):
        client.get(opened(page("write-off")))
    form = sheet(*((lot, 20, 19) for lot in lots), save="1")
    answer = client.post(page("write-off"), form, follow=True)

    assert "Wrote off 60 plants of 60 lots." in answer.content.decode()


def test_the_page_asks_for_a_login_and_for_leave(client):
    lot = lot_holding(10)
    assert client.get(page("write-off")).status_code == 302

    client.force_login(UserFactory())
    assert client.post(page("write-off"), sheet((lot, 10, 8), save="1")).status_code == 403
    assert Operation.objects.count() == 1


def test_an_empty_nursery_says_how_to_begin(client):
    assert (
        "No lot holds plants here"
        in as_grower(client).get(page("write-off"), follow=True).content.decode()
    )


def stand(lot, place):
    """Move a lot to a place."""
    from inventory import operations

    operations.move(lot=lot, place=place, on=MAY_DAY, request_id=uuid4())


@pytest.mark.parametrize("query", ["lot=9" + "9" * 24, "place=x&on=never", "container=77"])
def test_an_address_that_makes_no_sense_is_no_trouble(client, query):
    assert as_grower(client).get(opened(f"{page('write-off')}?{query}")).status_code == 200


def test_a_sheet_with_a_lot_that_is_not_there_is_refused(client):
    form = sent(cause_for_all=cause("winter").pk, save="1", held_4711="3", alive_4711="2")
    form |= {"held_" + "9" * 25: "3"}

    answer = as_grower(client).post(page("write-off"), form)

    assert answer.status_code == 200 and not Operation.objects.exists()
