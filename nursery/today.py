"""Gather from both apps what today's page shows: what needs doing, in groups of lines."""

from dataclasses import dataclass, field
from datetime import date
from functools import partial

from django.db.models import Count, Sum, Window
from django.urls import NoReverseMatch, reverse
from django.utils.http import urlencode
from django.utils.text import capfirst

from inventory.models import ExpectedLoss, LotBalance, Nursery
from inventory.own_time import counted_by_default
from inventory.queries import to_do as growing
from inventory.queries.paid_ahead import due_parts
from inventory.queries.supply_list import low_supplies
from inventory.queries.wording import CATEGORY_WORDS
from inventory.rights_of_pages import BOOKS, COSTS, RAISING, STOCK
from inventory.tables.supplies import to_buy
from nursery.templatetags.nursery_tags import each, money, plain
from sales.queries import holds
from sales.queries import to_do as selling
from sales.queries.certificates import certificates_due
from sales.queries.requests import open_requests
from sales.queries.stand_day import open_stands
from sales.rights_of_pages import BUYERS, HOLDS, PAYMENTS, REQUESTS, STAND

MOST_LINES = 5
Stage = ExpectedLoss.Stage


@dataclass(frozen=True)
class Line:
    """One thing to do: what, some detail, a number, and where it is done."""

    what: str
    detail: str = ""
    number: str = ""
    url: str = "/"
    is_plant: bool = False


@dataclass(frozen=True)
class Group:
    """Things to do for one reason. `more` lines are not shown; `more_url` shows them."""

    title: str
    why: str
    lines: list[Line] = field(default_factory=list)
    more: int = 0
    more_url: str = ""


def groups_to_do(on: date, nursery: Nursery, person=None) -> list[Group]:
    """Return what needs doing on that day, the most pressing first.

    A person is told of what they may see, and nothing else is looked up; nobody is told of all.
    """
    told = (
        (STOCK, _sold_beyond),
        (REQUESTS, _requests),
        (RAISING, partial(_rooted_counts, on)),
        (RAISING, partial(_bottom_heat, on)),
        (RAISING, partial(_potting, on, nursery)),
        (RAISING, partial(_walk, on, nursery)),
        (STAND, partial(_stands, on)),
        (HOLDS, partial(_holds, on)),
        (COSTS, _orders),
        (COSTS, partial(_paid_ahead, on)),
        (PAYMENTS, partial(_overdue, on)),
        (BUYERS, partial(_certificates, on)),
        (BOOKS, partial(_prices, on)),
    )
    of_interest = [tell for right, tell in told if person is None or person.has_perm(right)]
    return [group for tell in of_interest for group in tell()]


def on_hand_by_container() -> list[dict]:
    """Return code, kind, plants and lots for each container that holds any."""
    return list(
        LotBalance.objects.filter(on_hand__gt=0)
        .values("lot__container__code", "lot__container__kind")
        .annotate(plants=Sum("on_hand"))
        .order_by("-lot__container__kind", "lot__container__position")
    )


def _sold_beyond():
    lots = selling.lots_sold_beyond()
    lines = [
        Line(
            lot.plant.name,
            lot.code,
            f"{plain(plants)} sold",
            url("inventory:count", lot.pk),
            is_plant=True,
        )
        for lot, plants in lots
    ]
    plants = plain(sum(plants for _, plants in lots))
    why = f"{plants} sold without signal that the ledger did not have."
    return _group("Count these lots", why, lines, more_url=url("inventory:lot-list"))


def _requests():
    lines = [
        Line(
            asked.name,
            "asked for plants on the web" if asked.plants else "wrote on the web",
            f"{plain(asked.plants)} plants" if asked.plants else "",
            url("sales:request", asked.pk),
        )
        for asked in open_requests()
    ]
    more = url("sales:request-list")
    return _group("Answer requests", "Nothing is held for them yet.", lines, more_url=more)


def _rooted_counts(on):
    trays, number, _ = _first_of(growing.uncounted_cuttings(on))
    lines = [
        _lot_line(lot, f"stuck {_day(lot.began_on, on)}", "inventory:root-count") for lot in trays
    ]
    why = f"Stuck or sown more than {growing.WEEKS_TO_ROOT} weeks ago and not counted yet."
    more = _lots_in(Stage.ROOTING)
    return _group("Count what has rooted", why, lines, more_url=more, number=number)


def _bottom_heat(on):
    trays, number, _ = _first_of(growing.over_heated(on))
    lines = [
        _lot_line(lot, f"in heat since {_day(lot.heated_since, on)}", "inventory:move")
        for lot in trays
    ]
    why = (
        f"More than {growing.WEEKS_OF_BOTTOM_HEAT} weeks in a heated place. "
        "Look for roots; most cuttings are better off the heat by now."
    )
    more = _lots_in(Stage.ROOTING)
    return _group("Take off the bottom heat", why, lines, more_url=more, number=number)


def _potting(on, nursery):
    trays, number, plants = _first_of(growing.rooted_trays())
    if not trays:
        return []
    if not growing.is_potting_season(on, nursery):
        waiting = Line(
            f"{plain(plants)} rooted plants in {plain(number)} tray{'s' * (number > 1)}",
            "nothing to do before spring",
            url=_lots_in(Stage.LINER),
        )
        return [Group("Pot up in spring", "Rooted, and wintering in the tray.", [waiting])]
    lines = [_lot_line(lot, "rooted", "inventory:pot-up") for lot in trays]
    why = "Rooted trays that can go into pots."
    return _group("Pot up", why, lines, more_url=_lots_in(Stage.LINER), number=number)


def _walk(on, nursery):
    walk = growing.walk_due(on, nursery)
    if walk is None:
        return []
    lines = [
        Line(
            place.name if place else "No place given",
            "",
            f"{lots} lot{'s' * (lots > 1)}",
            url("inventory:write-off", place=place.pk if place else ""),
        )
        for place, lots in walk.places
    ]
    title = "Walk the winter losses" if walk.is_spring else "Count before winter"
    since = f"{walk.since.day} {walk.since:%B}"
    why = f"{plain(walk.lots)} lots not counted since {since}. One sheet for each place."
    return _group(title, why, lines, most=12)


def _orders():
    lines = [
        Line(
            row.name,
            f"{plain(row.on_hand)} {row.supply.get_unit_display()} left",
            to_buy(row),
            url("inventory:supply", row.pk),
        )
        for row in low_supplies()
    ]
    why = "As few as you order at, or fewer."
    return _group("Order supplies", why, lines, more_url=url("inventory:supply-list"))


def _paid_ahead(on):
    lines = [
        Line(
            f"{CATEGORY_WORDS[row.category].capitalize()}, {row.place or 'the whole nursery'}",
            f"until {_day(part.until, on)}",
            money(part.amount),
            url("inventory:paid-ahead", row.pk),
        )
        for row, part in due_parts(on)
    ]
    why = "Its days are over, and the plants that stood there bear it."
    more = url("inventory:paid-ahead-list")
    return _group("Charge what was paid ahead", why, lines, more_url=more)


def _stands(on):
    lines = [
        Line(
            capfirst(day.party),
            f"open since {_day(day.date, on)}" + ("" if day.attended else ", nobody there"),
            url=url("sales:stand-day", day.pk),
        )
        for day in open_stands()
    ]
    why = "Count the box and the plants when it closes."
    return _group("A stand is open", why, lines, more_url=url("sales:stand-list"))


def _holds(on):
    standings = holds.asked_about(on)
    short = [
        Line(
            row.line.plant.name,
            f"{row.line.container} for {one.hold.buyer}: {plain(row.line.open)} promised, "
            f"{plain(row.there_or_expected)} there or expected",
            f"{plain(row.short)} short",
            url("sales:hold", one.hold.pk),
            is_plant=True,
        )
        for one in standings
        for row in one.lines
        if row.short
    ]
    ended = [
        _hold_line(one, f"until {_day(one.hold.until, on)}: expired", "free again")
        for one in standings
        if one.is_ended
    ]
    soon = [
        _hold_line(one, f"until {_day(one.hold.until, on)}", "held")
        for one in standings
        if one.ends_soon
    ]
    more = url("sales:hold-list")
    why = "Keep them longer, or let go. Until then anyone may have them."
    return [
        *_group("Promised more than there is", "Losses ate a promise.", short, more_url=more),
        *_group("Holds that ended", why, ended, more_url=more),
        *_group("Hand over soon", "Holds that end within a week.", soon, more_url=more),
    ]


def _hold_line(one, detail, word):
    plants = f"{plain(one.open)} plant{'s' * (one.open != 1)} {word}"
    return Line(f"Held for {one.hold.buyer}", detail, plants, url("sales:hold", one.hold.pk))


def _overdue(on):
    documents = list(selling.overdue_invoices(on))
    lines = [
        Line(
            str(document.buyer or "walk-in"),
            f"{document.number}, due {_day(document.due_on, on)}",
            money(document.owed),
            url("sales:document", document.pk),
        )
        for document in sorted(documents, key=lambda document: -document.owed)
    ]
    owed = money(sum(document.owed for document in documents))
    why = f"{owed} on {len(documents)} invoice{'s' * (len(documents) > 1)} past their day."
    return _group("Ask for money", why, lines, more_url=url("sales:document-list"))


def _certificates(on):
    lines = [
        Line(buyer.name, words, url=url("sales:buyer", buyer.pk))
        for buyer, words in certificates_due(on)
    ]
    why = "Buyers without sales tax whose certificate is missing, has ended or soon will."
    return _group("Ask for a new certificate", why, lines, more_url=url("sales:buyers"))


def _prices(on):
    troubles = selling.price_troubles(on, counted_by_default())
    lines = [
        Line(
            row.plant.name,
            f"{row.container}: " + _price_words(row),
            f"{plain(row.on_hand)} plants",
            url("sales:prices", plant=row.plant.name, container=row.container.code),
            is_plant=True,
        )
        for row in troubles[: MOST_LINES + 1]
    ]
    why = "Without a price, or priced below what they have cost."
    more = url("sales:prices")
    return _group("Look at prices", why, lines, more_url=more, number=len(troubles))


def _price_words(row):
    if row.is_missing:
        return f"no price, costs {each(row.unit_cost)} each"
    return f"sells at {money(row.price)}, costs {each(row.unit_cost, row.price)} each"


def _lot_line(lot, detail, verb):
    return Line(
        lot.plant.name,
        f"{lot.code}, {detail}",
        f"{plain(lot.on_hand)} plants",
        url(verb, lot.pk),
        is_plant=True,
    )


def _lots_in(stage):
    return url("inventory:lot-list", stage=stage.value)


def _first_of(lots):
    """Return those of a query that are shown, how many lots it finds, and how many plants.

    It is asked once, and a nursery of thousands of trays reads a handful.
    """
    sums = {"in_all": Window(Count("pk")), "plants_in_all": Window(Sum("balance__on_hand"))}
    rows = list(lots.annotate(**sums)[: MOST_LINES + 1])
    return (rows, rows[0].in_all, rows[0].plants_in_all) if rows else ([], 0, 0)


def _group(title, why, lines, most=MOST_LINES, more_url="", number=None):
    """Return a group of the first lines; there are `number` of them, or those given."""
    if not lines:
        return []
    number = number or len(lines)
    # "and 1 more" would take the room of the line itself.
    shown = number if number <= most + 1 else most
    return [Group(title, why, lines[:shown], number - shown, more_url)]


def _day(day, on):
    year = "" if day.year == on.year else f" {day.year}"
    return f"{day.day} {day:%B}{year}"


def url(name: str, *args, **query) -> str:
    """Return a page's address with its query, or the first page's while it is not there."""
    try:
        address = reverse(name, args=args)
    except NoReverseMatch:
        try:
            address = reverse(name)
            query = {"lot": args[0], **query} if args else query
        except NoReverseMatch:
            return "/"
    return f"{address}?{urlencode(query)}" if query else address
