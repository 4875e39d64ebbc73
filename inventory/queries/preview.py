"""Say what will be true after an entry, before it is written."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.costing.replay import EMPTY
from inventory.held import short_without, short_words
from inventory.models import Container, Lot, Place
from inventory.operations.measure import Measured
from inventory.queries.holding import holdings_of
from inventory.size_words import told_size
from nursery.money import from_millionths, to_millionths
from nursery.templatetags.nursery_tags import each, money, percent, plain

Held = list[int]
"""What a lot holds: plants, then its cost in each category in millionths."""


@dataclass(frozen=True)
class LossCost:
    """What a loss does to a lot: plants by how they count, and where their cost goes."""

    normal: int
    abnormal: int
    carried: Decimal
    expensed: Decimal

    @property
    def plants(self) -> int:
        return self.normal + self.abnormal


def held_on(lot: Lot, on: date) -> Held:
    """Return what the lot holds at the end of that day."""
    return holdings_of([lot.pk], on)[lot.pk]


def cost_of_loss(held: Held, normal: int, abnormal: int) -> LossCost:
    """Return what the survivors will carry and what is expensed.

    The normal loss comes first, so that the abnormal one is expensed at the
    cost per plant after it. Where no plant survives, all is expensed.
    """
    plants, cost = held[0], sum(held[1:])
    if normal + abnormal >= plants:
        return LossCost(normal, abnormal, Decimal(0), from_millionths(cost))
    left = plants - normal
    expensed = (cost * abnormal + (left >> 1)) // left
    carried = (cost * normal + (plants >> 1)) // plants
    return LossCost(normal, abnormal, from_millionths(carried), from_millionths(expensed))


def after_loss(held: Held, loss: LossCost) -> tuple[int, int]:
    """Return plants and cost in millionths after a loss."""
    left = held[0] - loss.plants
    return left, (sum(held[1:]) - to_millionths(loss.expensed) if left else 0)


def pot_up_sentence(
    lot: Lot,
    *,
    on: date,
    quantity: int,
    container: Container,
    split: tuple[int, int] = (0, 0),
    costs: Mapping[str, Decimal] | None = None,
    to_lot: str = "",
) -> str:
    """Say how many go into which container, how many stay, and what one costs then."""
    held = held_on(lot, on)
    if quantity + sum(split) > held[0]:
        return _too_many(lot, held[0], quantity + sum(split), on)
    loss = cost_of_loss(held, *split)
    left, cost = after_loss(held, loss)
    carried = (cost * quantity + (left >> 1)) // left
    charged = sum(map(to_millionths, (costs or {}).values()))
    joined = _holding_of_code(to_lot, on)
    new = "" if joined or not to_lot else f", lot {to_lot}"
    sentences = [f"{plain(quantity)} of {plain(held[0])} into {container}{new}."]
    if loss.plants:
        sentences.append(loss_words(loss))
    sentences.append(f"{plain(left - quantity)} stay." if left > quantity else "None stay.")
    sentences.append(_cost_words(held, (carried + charged, quantity), "potting"))
    if joined:
        together = (sum(joined[1:]) + carried + charged, joined[0] + quantity)
        sentences.append(
            f"They join {plain(joined[0])} in lot {to_lot}: about {_each(*together)} each there."
        )
    return " ".join(sentences)


def move_sentence(lot: Lot, *, on: date, quantity: int, place: Place, to_lot: str) -> str:
    """Say how many go where, and how many stay."""
    held = held_on(lot, on)[0]
    if quantity > held or not held:
        return _too_many(lot, held, quantity, on)
    if quantity == held:
        return f"All {plain(held)} to {place}."
    return (
        f"{plain(quantity)} of {plain(held)} to {place}, as lot {to_lot}. "
        f"{plain(held - quantity)} stay."
    )


def measure_sentence(lot: Lot, sizes: Sequence[Measured], on: date) -> str:
    """Say how many are of which size and where they are then, and how many stay unmeasured."""
    told = [
        f"{plain(one.quantity)} of {told_size(one.size, lot.plant)} "
        + (f"become lot {one.to_lot}" if one.to_lot else "stay in the lot")
        for one in sizes
    ]
    rest = held_on(lot, on)[0] - sum(one.quantity for one in sizes)
    told += [f"{plain(rest)} stay in the lot unmeasured"] if rest else []
    leaving = sum(one.quantity for one in sizes if one.to_lot)
    short = short_words(short_without({lot.pk: leaving}, parted=True))
    return " ".join(filter(None, (f"{'; '.join(told)}.", short)))


def blend_sentence(lot: Lot, to_lot: Lot, on: date) -> str:
    """Say what the two lots are together."""
    joining, standing = held_on(lot, on), held_on(to_lot, on)
    plants, cost = joining[0] + standing[0], sum(joining[1:]) + sum(standing[1:])
    if not joining[0]:
        return f"Lot {lot} holds no plants on {on:%d %B %Y}."
    return (
        f"{plain(joining[0])} of lot {lot} join {plain(standing[0])} in lot {to_lot}: "
        f"{plain(plants)} in one lot, about {_each(cost, plants)} each."
    )


def take_out_sentence(lot: Lot, *, on: date, quantity: int) -> str:
    """Say how many leave at what cost, and how many stay."""
    held = held_on(lot, on)
    if quantity > held[0]:
        return _too_many(lot, held[0], quantity, on)
    cost = from_millionths(sum(held[1:]) * quantity // held[0])
    words = (
        f"{plain(quantity)} of {plain(held[0])} leave and take {money(cost)} of cost with them. "
        f"{plain(held[0] - quantity)} stay."
    )
    return _with_short(words, lot, quantity)


def add_cost_sentence(lot: Lot, *, on: date, amount: Decimal) -> str:
    """Say what one plant costs after the money joined the lot."""
    held = held_on(lot, on)
    if not held[0]:
        lost = loss_of_the_year(amount)
        return f"The lot holds no plants on {on:%d %B %Y}, so {lost}."
    cost = sum(held[1:])
    together = (cost + to_millionths(amount), held[0])
    return f"{money(amount)} over {plain(held[0])} plants. {_cost_words(held, together, 'that')}"


def count_sentence(lot: Lot, *, on: date, found: int, split: tuple[int, int]) -> str:
    """Say how the count differs from the books."""
    held = held_on(lot, on)
    if found == held[0]:
        return f"{plain(found)} found, as the books say."
    if found > held[0]:
        return (
            f"{plain(found)} found where the books say {plain(held[0])}: "
            f"{plain(found - held[0])} more, at no cost of their own."
        )
    loss = cost_of_loss(held, *split)
    words = f"{plain(found)} found where the books say {plain(held[0])}. {loss_words(loss)}"
    return _with_short(words, lot, loss.plants)


def root_count_sentence(lot: Lot, *, on: date, alive: int, split: tuple[int, int]) -> str:
    """Say the strike, and how the others count."""
    held = held_on(lot, on)
    if alive > held[0]:
        return _too_many(lot, held[0], alive, on)
    if not held[0]:
        return f"Lot {lot} holds no plants on {on:%d %B %Y}."
    part = percent(Decimal(100 * alive) / held[0])
    words = f"{plain(alive)} of {plain(held[0])} rooted, {part} of those still there."
    loss = cost_of_loss(held, *split)
    return _with_short(f"{words} {loss_words(loss)}", lot, loss.plants) if loss.plants else words


def begin_sentence(
    *,
    quantity: int,
    container: Container,
    batch: str,
    lot: str,
    costs: Mapping[str, Decimal],
    caution: str = "",
) -> str:
    """Say what begins, under which codes, at what cost."""
    paid = sum(map(to_millionths, costs.values()))
    sentences = [f"{plain(quantity)} in {container}: batch {batch}, lot {lot}."]
    if paid:
        sentences.append(f"{_each(paid, quantity)} each so far.")
    if caution:
        sentences.append(caution)
    return " ".join(sentences)


def loss_words(loss: LossCost) -> str:
    """Say how many are lost, and who carries their cost."""
    expensed = loss_of_the_year(loss.expensed)
    if loss.abnormal and not loss.normal:
        return f"{plain(loss.abnormal)} lost beyond what is expected: {expensed}."
    if loss.expensed and not loss.abnormal:
        return f"{plain(loss.normal)} lost and none left: {expensed}."
    if not loss.abnormal:
        return f"{plain(loss.normal)} lost, as expected: the others carry their cost."
    return (
        f"{plain(loss.plants)} lost: {plain(loss.normal)} as expected, {plain(loss.abnormal)} "
        f"beyond it: {expensed}."
    )


def loss_of_the_year(amount: Decimal) -> str:
    """Say that money counts against the year, and makes no plant dearer."""
    return f"{money(amount)} is a loss of the year"


def _holding_of_code(code, on):
    """Return what the lot of that code holds that day, or None where it holds no plants."""
    lot = Lot.objects.filter(code=code).first()
    held = held_on(lot, on) if lot else EMPTY
    return held if held[0] else None


def _cost_words(held, after, what):
    before = sum(held[1:])
    now, then = _cost_of_one(before, held[0]), _cost_of_one(*after)
    if now == then:
        return f"{each(now)} each." if before else "No cost so far."
    now, then = each(now, then), each(then, now)
    if not before:
        return f"No cost so far, about {then} each after {what}."
    return f"{now} each so far, about {then} after {what}."


def _each(cost, plants):
    return each(_cost_of_one(cost, plants))


def _cost_of_one(cost, plants):
    return from_millionths(cost) / plants if plants else Decimal(0)


def _with_short(words, lot, gone):
    """Return the words, and which promises fall short where plants of a lot are gone."""
    return " ".join(filter(None, (words, short_words(short_without({lot.pk: gone})))))


def _too_many(lot, held, wanted, on):
    return (
        f"Lot {lot} held {plain(held)} on {on:%d %B %Y}; {plain(wanted)} cannot be taken. "
        "Check the number and the date, or count the lot first."
    )
