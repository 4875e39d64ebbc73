"""`manage.py up`: make the ledger ready and serve it."""

import os
import sys
from contextlib import nullcontext, suppress
from pathlib import Path

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.core.wsgi import get_wsgi_application
from django.db import OperationalError, connection, connections, transaction
from django.db.migrations.executor import MigrationExecutor
from django.urls import get_resolver
from django.utils.crypto import salted_hmac

from nursery import exclusive, machine, running, serving
from nursery.homes import servers
from nursery.keeping.ailments import engine
from nursery.keeping.by_itself import Daily
from nursery.keeping.errors import CannotKeep
from nursery.people.roles import Role
from nursery.people.sessions import forget_old
from nursery.welcome import somebody_is_here

DEMO_NAME = "grower"
DEMO_PASSWORD = "cuttings-root-in-june"  # not a secret: it is printed and opens invented data
# Who helps at the demo nursery, with the same password.
DEMO_HELPERS = {"jory": Role.GROWER, "maren": Role.SELLER, "odo": Role.VIEWER}
DEMO_REPORT = "python3 manage.py report margin"


class Command(BaseCommand):
    """Serve the ledger from its own database, or the demo nursery from another.

    What stands in the way is said in one plain line, with exit code 1.
    """

    help = "Make the ledger ready and serve it until Ctrl-C."
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser):
        """Take the demo, the port and the host."""
        parser.add_argument("--demo", action="store_true", help="serve an invented nursery")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--processes", type=int, default=1, help="more of them for many people")
        parser.add_argument("--host", default="127.0.0.1", help="0.0.0.0 lets the network in")

    def handle(self, *, demo: bool, port: int, host: str, processes: int, **_options):
        """Take the place, make everything ready, serve, and end without noise."""
        name = running.reachable_as(host)
        address = f"http://{f'[{name}]' if ':' in name else name}:{port}"
        if demo and Path(settings.DATABASES["default"]["NAME"]) != machine.demo_database():
            raise SystemExit("Start the demo as: python3 manage.py up --demo")
        if processes < 1 or (processes > 1 and not hasattr(os, "fork")):
            raise SystemExit("This system has no more than one process for the ledger.")
        serving.end_on_signals()
        try:
            with _place(address, host, port):
                self._make_ready(demo)
                _allow(host)
                servers.limit_pages()
                if processes > 1:
                    # All pages are read once, before there are more of us.
                    get_resolver().url_patterns  # noqa: B018
                connections.close_all()
                serving.serve(
                    get_wsgi_application(),
                    host=host,
                    port=port,
                    processes=processes,
                    behind_tls=settings.BEHIND_TLS,
                    alongside=nullcontext() if demo else Daily(),
                    when_ready=lambda: self._greet(address, demo),
                )
        except serving.Stopped:
            progress("Stopped before the ledger was ready. Start again to go on.")
            sys.exit(130)
        self._print("The ledger is stopped. Everything entered is saved.")

    def _make_ready(self, demo: bool) -> None:
        """Bring the database and the static files up to this version; fill the demo."""
        try:
            with servers.prepared_by_one():
                _migrate()
        except OperationalError as error:
            raise SystemExit(f"The database does not answer: {error}") from error
        with exclusive.held(settings.DATA / "static-files.lock"):
            _collect_static()
        forget_old()
        _tell_what_was_broken_off()
        if demo and not somebody_is_here():
            _fill_demo()

    def _greet(self, address: str, demo: bool) -> None:
        """Print where the ledger is and what to do next."""
        if demo:
            self._print(f"The demo nursery is open at {address}")
            self._print(f"Log in as {DEMO_NAME} with the password {DEMO_PASSWORD}")
            self._print(f"Reports: DATABASE_URL=sqlite:///{_from_here()} {DEMO_REPORT}")
        elif somebody_is_here():
            self._print(f"The ledger is open at {address}")
        else:
            token = f"?token={settings.WELCOME_TOKEN}" if settings.WELCOME_TOKEN else ""
            self._print(f"The ledger is open at {address}/welcome/{token}")
            self._print("Its first page asks for the nursery and your account.")
        self._print("Ctrl-C stops it.")
        connection.close()

    def _print(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()


def progress(line: str) -> None:
    """Tell what takes long, on standard error."""
    print(line, file=sys.stderr, flush=True)


def _place(address: str, host: str, port: int):
    """Hold the database and see that the port is free, or say what runs there."""
    note = running.take_note(address)
    if note is None:
        raise SystemExit(f"The ledger is already running at {running.noted_address(address)}")
    if not running.port_is_free(host, port):
        note.close()
        raise SystemExit(
            f"Port {port} on {host} is taken by another program, or is not this machine's. "
            f"Choose another: python3 manage.py up --port {port + 1 if port < 65535 else 8000}"
        )
    return note


def _migrate() -> None:
    """Bring the tables up to this version."""
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        progress("Preparing the database ...")
        call_command("migrate", interactive=False, verbosity=0)


def _tell_what_was_broken_off() -> None:
    """Say that a restore was killed: whichever ledger is there is whole, and what to do next."""
    # An account that may not look is told by `doctor`; it hinders no start.
    with suppress(CannotKeep):
        for ailment in engine.leftovers():
            progress(f"{ailment.words} To tidy up: {ailment.way_out}")


def _collect_static() -> None:
    """Gather style sheets and scripts, compressed, where a release changed them."""
    sources = running.static_fingerprint()
    stamp = settings.DATA / "static-files"
    if stamp.exists() and stamp.read_text(encoding="utf-8") == sources:
        return
    progress("Gathering style sheets and scripts ...")
    # Another server of this ledger may still serve the files of before.
    alone = len(running.addresses()) == 1
    call_command("collectstatic", interactive=False, verbosity=0, clear=alone)
    stamp.write_text(sources, encoding="utf-8")


def _fill_demo() -> None:
    """Fill the demo nursery; its logins come last, so a fill broken off is done again."""
    from nursery import demo

    progress("Filling the demo nursery with three seasons ...")
    demo.fill(progress)
    with transaction.atomic():
        _let_in()


def _let_in() -> None:
    users = get_user_model().objects
    for name, role in DEMO_HELPERS.items():
        helper = users.create_user(username=name, password=DEMO_PASSWORD)
        helper.groups.set(Group.objects.filter(name=role))
    users.create_superuser(username=DEMO_NAME, password=DEMO_PASSWORD)


def _allow(host: str) -> None:
    """Answer to the host name asked for; beyond this machine, ask newcomers for a token."""
    name = running.reachable_as(host)
    settings.ALLOWED_HOSTS.append(f"[{name}]" if ":" in name else name)
    if (not running.is_loopback(name) or settings.BEHIND_TLS) and not somebody_is_here():
        # The same in every server of this ledger: whichever prints it, any may be asked.
        settings.WELCOME_TOKEN = salted_hmac("nursery.welcome", "first page").hexdigest()[:32]


def _from_here() -> str:
    """Write the demo database the way a person in this folder types it."""
    path = machine.demo_database()
    return (path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path).as_posix()
