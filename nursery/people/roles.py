"""The four roles, and what each may do.

An owner is a superuser of Django, so that the usual one person costs no question. The other roles
are groups of Django that bear their names; after each migration they are given what stands here.
An account has one role. An account without any may log in and read the help, nothing more.
"""

from collections.abc import Iterable
from enum import StrEnum

from django.apps import AppConfig, apps
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser, Group, Permission

from inventory.rights_of_pages import (
    BOOKS,
    COSTS,
    ENTER,
    NAME,
    NOTE,
    PICTURE,
    PLANS,
    RAISING,
    SPRAY,
    STOCK,
    SUBSCRIBE,
    TAKE_PICTURES_OFF,
    TICK,
)
from nursery.people.asking import Right
from sales.rights_of_pages import (
    ANSWER,
    BUYERS,
    CHANGE_BUYERS,
    CHANGE_PROMISES,
    HOLDS,
    LINK_BUYERS,
    MEASURE_LABELS,
    OPEN_STAND,
    PAYMENTS,
    PRICES,
    PROMISE,
    REQUESTS,
    RUN_STAND,
    SALES,
    SELL,
    STAND,
    TAKE_MONEY,
    TAXES,
    WRITE_BUYERS,
)


class Role(StrEnum):
    """What a person is to the ledger."""

    OWNER = "owner"
    GROWER = "grower"
    SELLER = "seller"
    VIEWER = "viewer"

    @property
    def words(self) -> str:
        """Return what the role may do, in a line for whoever chooses it."""
        return WORDS[self]


WORDS = {
    Role.OWNER: "does everything, and says who else may do what",
    Role.GROWER: "enters all that happens to plants and what it costs; sees no prices or buyers",
    Role.SELLER: "sells, holds, runs the stand and takes payments; sees no costs or margins",
    Role.VIEWER: "reads every page and changes nothing: an accountant, the family",
}

GROWING = (ENTER, NAME, PICTURE, TAKE_PICTURES_OFF, TICK, NOTE, SPRAY)
SELLING = (
    *(SELL, PROMISE, CHANGE_PROMISES, OPEN_STAND, RUN_STAND, TAKE_MONEY),
    *(WRITE_BUYERS, CHANGE_BUYERS, LINK_BUYERS, ANSWER, MEASURE_LABELS),
)
SEEN_IN_SELLING = (PRICES, SALES, HOLDS, STAND, BUYERS, PAYMENTS, REQUESTS)

# What an owner keeps: prices, tax, article numbers, the list on the web, accounts, closing the
# year and opening it again, the settings, and the people.
MAY: dict[Role, frozenset[Right]] = {
    Role.GROWER: frozenset({STOCK, RAISING, COSTS, PLANS, SUBSCRIBE, *GROWING}),
    Role.SELLER: frozenset({STOCK, *SEEN_IN_SELLING, SUBSCRIBE, *SELLING}),
    Role.VIEWER: frozenset({STOCK, RAISING, COSTS, PLANS, BOOKS, TAXES, *SEEN_IN_SELLING}),
}


def role_of(user: AbstractBaseUser | AnonymousUser) -> Role | None:
    """Return a person's role, or None where nobody gave one."""
    if user.is_superuser:
        return Role.OWNER
    names = {group.name for group in user.groups.all()}
    return next((role for role in MAY if role in names), None)


def give_groups_their_rights(sender: AppConfig, using: str, **_signal) -> None:
    """Make the groups say what stands in MAY. Runs after each migration, when all apps are done."""
    told = [app for app in apps.get_app_configs() if app.models_module]
    if sender is not told[-1]:
        return
    for role, rights in MAY.items():
        group, _ = Group.objects.using(using).get_or_create(name=role.value)
        group.permissions.set(_permissions(rights, using))


def _permissions(rights: Iterable[Right], using: str) -> list[Permission]:
    """Find permissions. In a database moved back to an earlier version some are not there yet."""
    wanted = {str(right) for right in rights}
    every = Permission.objects.using(using).select_related("content_type")
    return [row for row in every if f"{row.content_type.app_label}.{row.codename}" in wanted]
