"""Hear of log-ins, also of those that failed, and write them down."""

import logging

from axes.signals import user_locked_out
from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.dispatch import receiver
from django.utils import timezone

from nursery.models import Deed
from nursery.watching.deeds import record
from nursery.watching.passing import known_as

log = logging.getLogger("nursery.doors")
DOORS = Deed.Kind.DOORS
LOCKED_OUT = "tried too often to log in"


@receiver(user_logged_in, dispatch_uid="nursery.watching.logged_in")
def logged_in(user, **_signal) -> None:
    """Write who came in."""
    known_as(user)
    record(kind=DOORS, what="logged in", by=user)


@receiver(user_logged_out, dispatch_uid="nursery.watching.logged_out")
def logged_out(user, **_signal) -> None:
    """Write who went; who was not in leaves nothing."""
    if user is not None:
        record(kind=DOORS, what="logged out", by=user)


@receiver(user_login_failed, dispatch_uid="nursery.watching.login_failed")
def login_failed(credentials, **_signal) -> None:
    """Write that a log-in with an account's name was refused.

    A name that is nobody's is only told in the log, without the name: people type passwords
    there, and a stranger who tries a million names would fill a record kept for ever.
    """
    user = _owner_of(credentials)
    log.info("log-in refused", extra={"facts": {"account": user and user.pk}})
    if user and not _is_known_locked_out(user):
        record(kind=DOORS, what="tried to log in", by=user, refused=True)


@receiver(user_locked_out, dispatch_uid="nursery.watching.locked_out")
def locked_out(username, **_signal) -> None:
    """Write that an account's name was tried too often from one place."""
    user = _owner_of({"username": username})
    log.warning("locked out", extra={"facts": {"account": user and user.pk}})
    if user and not _is_known_locked_out(user):
        record(kind=DOORS, what=LOCKED_OUT, by=user, refused=True)


def _is_known_locked_out(user) -> bool:
    """Say whether the record has told so lately; who goes on trying adds no more to it."""
    since = timezone.now() - settings.AXES_COOLOFF_TIME
    return Deed.objects.filter(by=user, at__gte=since, what=LOCKED_OUT).exists()


def _owner_of(credentials):
    accounts = get_user_model()
    name = credentials.get(accounts.USERNAME_FIELD) or ""
    return accounts.objects.filter(**{accounts.USERNAME_FIELD: name}).first()
