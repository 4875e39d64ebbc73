"""Log-ins: a session whose row says whose it is, since when, on what device and from where.

There is nothing beside the session to ask or to keep in step. It ends when its row goes, after
IDLE without a request, and AT_MOST after the login whatever was done; the server's row decides,
and the browser's cookie lasts no longer. OWASP ASVS 5.0, 7.3.1 and 7.3.2, asks for both limits.
"""

from contextlib import suppress
from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.signals import user_logged_in
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.db import DatabaseError
from django.db.models import QuerySet
from django.dispatch import receiver
from django.http import HttpRequest
from django.utils import timezone

from nursery.people.devices import device_in_words
from nursery.visitor import address_of

IDLE = timedelta(days=14)
AT_MOST = timedelta(days=30)
# When somebody was last seen is written this often at most.
A_WHILE = timedelta(minutes=10)
KEPT_IN_THE_ROW = ("number", "begun", "seen", "device", "address")


class SessionStore(DatabaseStore):
    """A session that carries what its row says beside its data. SESSION_ENGINE names it."""

    def __init__(self, session_key: str | None = None):
        super().__init__(session_key)
        self.facts = facts_of(None)

    @classmethod
    def get_model_class(cls):
        """Return the model whose rows sessions are."""
        from nursery.models import Login

        return Login

    def create(self):
        """Begin a new row, under another number: for a moment the old one stands beside it."""
        self.facts["number"] = uuid4()
        super().create()

    def create_model_instance(self, data: dict):
        """Return the row to be written."""
        row = super().create_model_instance(data)
        row.account_id = data.get(SESSION_KEY)
        for name, value in self.facts.items():
            setattr(row, name, value)
        return row

    def get_expiry_date(self, **_kwargs):
        """Return when the row ends if nobody comes any more."""
        return min(timezone.now() + IDLE, self.facts["begun"] + AT_MOST)

    def get_expiry_age(self, **_kwargs) -> int:
        """Return how many seconds the cookie may last."""
        return int((self.facts["begun"] + AT_MOST - timezone.now()).total_seconds())

    def _get_session_from_db(self):
        row = super()._get_session_from_db()
        if row is not None:
            self.facts = {name: getattr(row, name) for name in KEPT_IN_THE_ROW}
        return row


def facts_of(request: HttpRequest | None) -> dict[str, Any]:
    """Return what a row says of a login that a request begins; without one, nothing of whose."""
    now, meta = timezone.now(), request.META if request else {}
    return {
        "number": uuid4(),
        "begun": now,
        "seen": now,
        "device": device_in_words(meta.get("HTTP_USER_AGENT", "")),
        "address": address_of(request)[:45] if request else "",
    }


@receiver(user_logged_in, dispatch_uid="nursery.people.sessions.begin")
def begin(request: HttpRequest, **_signal) -> None:
    """Begin a login's row anew: its time counts from here. Django gives it a new key by itself."""
    request.session.facts = facts_of(request) | {"number": request.session.facts["number"]}


def note_seen(session: SessionStore) -> None:
    """Write that somebody was here, once in a while.

    A page is not refused because that could not be written, as on a full disk.
    """
    if timezone.now() - session.facts["seen"] < A_WHILE:
        return
    session.facts["seen"] = timezone.now()
    with suppress(DatabaseError):
        session.model.objects.filter(session_key=session.session_key).update(
            seen=session.facts["seen"], expire_date=session.get_expiry_date()
        )


def logins(account: AbstractBaseUser | None = None) -> QuerySet:
    """Return the log-ins in force, an account's or everybody's, the last seen first."""
    found = SessionStore.get_model_class().objects.filter(expire_date__gt=timezone.now())
    return found.filter(account=account) if account else found.filter(account__isnull=False)


def end(rows: QuerySet, *, but: SessionStore | None = None) -> int:
    """End log-ins, all but one's own where it is given, and return how many were ended."""
    ended = rows.exclude(session_key=but.session_key) if but else rows
    return ended.delete()[0]


def forget_old() -> None:
    """Delete what has run out."""
    SessionStore.clear_expired()
