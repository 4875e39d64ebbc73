"""A nursery in which there is one of everything, so that every page has something to show.

`say(longest)` gives each text that is stored; a test chooses what the texts are.
"""

import io
from datetime import date, timedelta
from decimal import Decimal
from types import SimpleNamespace
from uuid import uuid4

from django.contrib.auth import get_user_model
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image
from pypdf import PdfWriter

from inventory import operations as grow
from inventory.models import Lot, Nursery
from inventory.operations import catalogue, supply_catalogue
from inventory.operations.supplies import buy
from nursery.sheet_file import read_file
from sales import operations as selling
from sales.labels.grid import Grid
from sales.queries.public_list import kept_lines, public_list
from tests.factories import DAY, cause, container

TODAY = date.today()
TEN = Decimal(10)


def new() -> dict:
    """A request id, as each verb asks for one."""
    return {"request_id": uuid4()}


def picture(kind: str = "PNG") -> bytes:
    """Return a small picture."""
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "green").save(out, kind)
    return out.getvalue()


def paper() -> bytes:
    """Return a PDF of one empty page."""
    out, made = io.BytesIO(), PdfWriter()
    made.add_blank_page(200, 200)
    made.write(out)
    return out.getvalue()


def full_house(say) -> SimpleNamespace:
    """Fill an empty ledger, and return what a test may want to name."""
    owner = get_user_model().objects.create_superuser("owner", password="cuttings-in-june")
    Nursery(name=say(80), address=say(200), currency="USD", email="bench@nursery.example").save()
    selling.change_letterhead(
        **{name: say(40) for name in ("street", "city", "region", "phone", "web", "tax_id")},
        **{name: say(60) for name in ("licence_name", "licence_number", "bank", "terms")},
        inspection_certificate=say(60),
        country="DE",
        postcode="12345",
        email="bench@nursery.example",
        logo=picture(),
    )
    house = SimpleNamespace(owner=owner, say=say)
    _raise_plants(house)
    _spend(house)
    _plan(house)
    _sell(house)
    _promise(house)
    _go_to_the_stand(house)
    _show(house)
    return house


def _raise_plants(house):
    say = house.say
    house.place = catalogue.add_place(name=say(60), area_m2=Decimal(80), heated=True)
    house.bench = catalogue.add_place(name=say(60), parent=house.place, area_m2=Decimal(20))
    house.plant = catalogue.add_plant(
        name=say(120), common_name=say(80), licence=say(120), note=say(500), royalty=Decimal("0.35")
    )
    catalogue.add_stock_plant(code=say(24), plant=house.plant.name, note=say(200))
    stock = house.plant.stock_plants.get()
    house.method = grow.add_method(name=say(80), wood="softwood", source=say(200), note=say(300))
    step = grow.add_step(
        method=house.method,
        work="root_count",
        name=say(60),
        from_days=20,
        to_days=30,
        note=say(200),
    )
    house.person = supply_catalogue.add_person(name=say(60), hourly_rate=Decimal(18))
    how = grow_treatment(method=house.method, hormone=say(40), medium=say(60))
    facts = {"plant": house.plant, "note": say(200), "place": house.place, "stock_plant": stock}
    facts |= {"how": how, "costs": {"cuttings": TEN, "labour": TEN}}
    facts |= {"container": container("tray"), "kind": "stick", "quantity": 500, "on": DAY}
    house.code = say(24)
    grow.begin(batch=say(24), lot=house.code, **facts, **new())
    lot = Lot.objects.get(code=house.code)
    grow.root_count(lot=lot, alive=450, on=DAY + timedelta(30), note=say(200), **new())
    house.pots = say(24)
    potting = {"container": container("#1"), "place": house.bench, "note": say(200)}
    on = DAY + timedelta(60)
    grow.pot_up(lot=lot, quantity=300, to_lot=house.pots, on=on, **potting, **new())
    house.lot = Lot.objects.get(code=house.pots)
    loss = grow.Loss(house.lot, 5, cause("winter"))
    grow.write_off(losses=[loss], on=on, note=say(200), **new())
    batch = house.lot.began_batch if hasattr(house.lot, "began_batch") else None
    batch = batch or house.plant.batches.first()
    grow.tick_step(batch=batch, step=step, on=on, skipped_for=say(80), **new())
    house.batch, house.step = batch, step
    grow.add_photo(plant=house.plant, lot=house.lot, content=picture("JPEG"), **new())


def grow_treatment(**facts):
    """Say how cuttings were treated."""
    from inventory.treatment import Treatment

    return Treatment(wood="softwood", **facts)


def _spend(house):
    say, on = house.say, DAY + timedelta(70)
    house.supply = supply_catalogue.add_supply(name=say(80), note=say(200), pack_size=TEN)
    buy(
        supply=house.supply,
        quantity=TEN,
        amount=TEN,
        on=on,
        supplier=say(80),
        note=say(90),
        **new(),
    )
    supply_catalogue.set_recipe(
        kind="pot_up", container=container("#1"), quantities={house.supply: Decimal(1)}
    )
    uses = [_use(house.supply), _work(house.person)]
    grow.add_cost(lot=house.lot, uses=uses, on=on, note=say(200), **new())
    days = {"first_day": DAY, "last_day": on}
    house.bill = grow.enter_bill(category="heat", amount=TEN, note=say(200), **days, **new())
    grow.pay_ahead(category="space", amount=Decimal(100), note=say(200), **days, **new())


def _use(supply):
    from inventory.operations.spending import Use

    return Use(supply, Decimal(2))


def _work(person):
    from inventory.operations.spending import Work

    return Work(person, Decimal(30))


def _plan(house):
    say, soon = house.say, TODAY + timedelta(200)
    want = {"plant": house.plant, "container": container("#1"), "quantity": 40}
    house.target = grow.add_target(**want, ready_by=soon, note=say(200), **new())
    grow.spray(
        place=house.place,
        product=say(80),
        ended_at=timezone.now(),
        reentry_hours=12,
        **{name: say(40) for name in ("registration", "amount", "crop", "applicator")},
        **new(),
    )
    grow.note_bench(place=house.place, on=TODAY, moisture="dry", temperature_c=TEN, **new())
    grow.make_calendar_link(by=house.owner)
    table = f'Plant,Pot,How many\n"{say(60).replace(chr(34), "")}",#1,4\n'
    file = read_file(SimpleUploadedFile("field.csv", table.encode()))
    house.draft = grow.keep_draft(file=file, file_name=say(60), by=house.owner)


def _sell(house):
    say = house.say
    kinds = {"stand": "12.00", "landscaper": "10.00"}
    prices = [
        selling.NewPrice(house.plant, container("#1"), Decimal(amount), list=name)
        for name, amount in kinds.items()
    ]
    selling.set_prices(prices=prices, on=DAY, **new())
    selling.set_tax_rate(
        percent=Decimal(7), on=DAY, basis="invoice", name=say(60), jurisdiction=say(60)
    )
    facts = {"kind": "landscaper", "terms_days": 30, "email": "b@buyer.example", "note": say(200)}
    facts |= {name: say(40) for name in ("street", "city", "phone", "tax_id")}
    facts |= {"country": "DE", "postcode": "54321"}
    house.buyer = selling.add_buyer(name=say(80), **facts, **new())
    other = selling.add_buyer(name=say(80), **facts, **new())
    selling.merge_buyers(kept=house.buyer, merged=other, **new())
    selling.add_contact(buyer=house.buyer, name=say(80), role=say(60), phone=say(40), **new())
    selling.add_certificate(
        buyer=house.buyer,
        number=say(80),
        issuer=say(50),
        valid_from=DAY,
        content=paper(),
        **new(),
    )
    item = selling.Item(house.plant, container("#1"), 30, lot=house.lot)
    sold = {"items": [item], "on": DAY + timedelta(90), "note": say(300)}
    house.document = selling.sell(buyer=house.buyer, **sold, **new())
    house.receipt = selling.sell(paid_by="cash", **sold, **new())
    selling.share_document(document=house.document)
    when = {"on": DAY + timedelta(95)}
    house.payment = selling.pay(
        document=house.document, amount=Decimal(50), method="transfer", **when, **new()
    )
    selling.take_on_account(
        buyer=house.buyer, amount=TEN, method="card", note=say(200), **when, **new()
    )
    back = {"plants": [(house.lot, 2)], "restock": True, "note": say(200)}
    selling.take_back(document=house.document, **back, **when, **new())


def _promise(house):
    say, until = house.say, TODAY + timedelta(20)
    wanted = [selling.Wanted(house.plant, container("#1"), 12, lot=house.lot)]
    deposit = selling.DepositPaid(TEN, "cash")
    house.hold = selling.hold(
        buyer=house.buyer,
        wanted=wanted,
        until=until,
        on=TODAY,
        note=say(200),
        deposit=deposit,
        **new(),
    )
    selling.change_hold(hold=house.hold, until=until + timedelta(3), on=TODAY, **new())


def _go_to_the_stand(house):
    say = house.say
    facts = {"place": house.bench, "began_with": TEN, "note": say(200)}
    house.stand = selling.open_stand(plants={house.lot: 20}, on=TODAY, **facts, **new())
    money = {"kind": "paid_out", "amount": Decimal(-2), "note": say(200)}
    selling.move_money(day=house.stand, on=TODAY, **money, **new())


def _show(house):
    say = house.say
    grid = Grid("A4", 3, 8, Decimal(60), Decimal(30))
    selling.keep_label_stock(name=say(40), grid=grid)
    selling.name_account(key="sales", code="4000", name=say(60))
    selling.change_public_list(
        is_on=True,
        greeting=say(300),
        call_name=say(80),
        phone=say(40),
        email="bench@nursery.example",
        takes_requests=True,
    )
    selling.make_buyer_link(buyer=house.buyer, last_on=TODAY + timedelta(90))
    wishes = [selling.Wish(line, 3) for line in kept_lines(public_list())]
    house.asked = selling.ask_for_plants(
        name=say(80), wishes=wishes, origin="a", phone=say(40), message=say(300), **new()
    )
