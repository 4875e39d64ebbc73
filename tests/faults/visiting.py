"""A real server, begun as a grower begins it, and a browser's posts to it."""

import http.client
import signal
from dataclasses import dataclass
from pathlib import Path
from random import Random
from urllib.parse import urlencode
from uuid import UUID

from django.conf import settings
from django.db import connection, connections
from django.test import Client
from django.urls import reverse

from inventory.models import LotBalance, Place
from tests.factories import UserFactory, container
from tests.faults.scene import LARGER, day
from tests.served import begin, free_port, read_until_open

TOKEN = "f" * 32


@dataclass(frozen=True)
class Post:
    """One press of a save button in a browser."""

    address: str
    request_id: UUID
    typed: dict


class Server:
    """`manage.py up`, on a database of its own, until it is killed."""

    def __init__(self, folder: Path, database: str):
        self.port = int(free_port())
        changes = {"SECRET_KEY": settings.SECRET_KEY, "DATABASE_URL": database}
        self.process = begin("up", "--port", str(self.port), folder=folder, **changes)
        read_until_open(self.process)

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.communicate()

    def send(self, post: Post, session: str) -> int | None:
        """Send a post and return the status of the answer; None where none came."""
        body = {"csrfmiddlewaretoken": TOKEN, "request_id": post.request_id, **post.typed}
        headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": f"sessionid={session}; csrftoken={TOKEN}",
        }
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            link.request("POST", post.address, urlencode(body), headers)
            return link.getresponse().status
        except (OSError, http.client.HTTPException):
            return None
        finally:
            link.close()


def logged_in() -> str:
    """Log somebody in who may do all, and return the key of the session."""
    client = Client()
    client.force_login(UserFactory(is_superuser=True))
    return client.session.session_key


def database_address() -> str:
    """Return the present database as DATABASE_URL names it."""
    facts = connection.settings_dict
    connections.close_all()
    if connection.vendor == "sqlite":
        return f"sqlite:///{Path(facts['NAME']).as_posix()}"
    user, host, port = facts["USER"], facts["HOST"], facts["PORT"]
    return f"postgres://{user}@{host}:{port}/{facts['NAME']}"


def next_post(chance: Random, number: int) -> Post:
    """Plan a save of one of the forms that plants go through, from what stands."""
    lots = LotBalance.objects.filter(on_hand__gte=10).select_related("lot").order_by("pk")
    lot = chance.choice(list(lots)).lot
    typed = {
        "move": {"quantity": "4", "to_lot": f"M{chance.getrandbits(40):x}"},
        "pot-up": {"quantity": "5", "container": container(LARGER).pk},
        "take-out": {"quantity": "1"},
        "add-cost": {"amount": "9.25", "category": "labour"},
        "sell": {f"n-{lot.plant_id}-{lot.container_id}": chance.randint(1, 3), "paid_by": "cash"},
    }
    typed["move"]["place"] = Place.objects.order_by("pk").first().pk
    name = chance.choice(list(typed))
    words = [lot.pk, "use"] if name == "take-out" else [lot.pk]
    address = reverse("sales:sell") if name == "sell" else reverse(f"inventory:{name}", args=words)
    request_id = UUID(int=chance.getrandbits(128), version=4)
    return Post(address, request_id, {"on": day(number).isoformat(), **typed[name]})
