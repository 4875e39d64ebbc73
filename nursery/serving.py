"""Serve the ledger with waitress until somebody stops it, by one process or by several."""

import logging
import os
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager

import waitress

from nursery.uploads import LARGEST_BODY, Channel
from nursery.watching import log

# One thread computes at a time. Six answered 12 pages a second where three answered 15, for each
# question lets another go first; with one, a paper of ten pages would keep everybody waiting.
THREADS = 3
# Reading takes no thread: these only keep whoever opens connections and says nothing from
# taking all there are. A browser holds six; beyond 1,000 select() itself would end.
CONNECTIONS = 500
IDLE_SECONDS = 60
LARGEST_HEAD = 32_768


class Stopped(KeyboardInterrupt):
    """The process was asked to end."""


def end_on_signals() -> None:
    """Turn Ctrl-C and a polite request to end into one exception.

    A shell that starts the ledger in the background switches Ctrl-C off; here it is meant.
    """
    signal.signal(signal.SIGINT, _stop)
    signal.signal(signal.SIGTERM, _stop)


def serve(
    application,
    *,
    host: str,
    port: int,
    processes: int,
    behind_tls: bool,
    alongside: AbstractContextManager,
    when_ready: Callable,
) -> None:
    """Answer requests until the process is asked to end, then finish those under way.

    Several processes take turns at one address; what goes on `alongside` does so in the first.
    No database may be open, for they would share it.
    """
    logging.getLogger("waitress").setLevel(logging.ERROR)
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.create_server((host, port), family=family) as address:

        def answer(when_ready=lambda: None):
            _answer(application, address, behind_tls, when_ready)

        with _shared_by(processes, answer), alongside:
            answer(when_ready)


def _answer(application, address: socket.socket, behind_tls: bool, when_ready: Callable) -> None:
    """Answer in this process until it is asked to end."""
    server = waitress.create_server(
        application,
        sockets=[address],
        threads=THREADS,
        ident=None,
        max_request_body_size=LARGEST_BODY,
        max_request_header_size=LARGEST_HEAD,
        connection_limit=CONNECTIONS,
        channel_timeout=IDLE_SECONDS,
        cleanup_interval=IDLE_SECONDS // 4,
        **_trust(behind_tls),
    )
    server.channel_class = Channel
    with log.written_aside():
        _run(server, when_ready)


def _run(server, when_ready):
    try:
        when_ready()
        # run() ends by itself at Stopped, as at any KeyboardInterrupt, once requests are answered.
        server.run()
    except Stopped:
        # It came between the greeting and the first request.
        server.task_dispatcher.shutdown()
    finally:
        server.close()


@contextmanager
def _shared_by(processes: int, work: Callable[[], None]) -> Iterator[None]:
    """Let so many processes in all do some work: the others begin now and end with the block.

    They end too when this process is killed: each reads a pipe that only this process holds open.
    """
    ending, held = os.pipe()
    others = [_begun(work, ending, held) for _ in range(processes - 1)]
    try:
        yield
    finally:
        os.close(held)
        os.close(ending)
        for process in others:
            os.waitpid(process, 0)


def _begun(work: Callable[[], None], ending: int, held: int) -> int:
    """Begin another process with some work, and return its number."""
    process = os.fork()
    if process:
        return process
    os.close(held)
    threading.Thread(target=_stop_at, args=(ending,), daemon=True).start()
    try:
        work()
    except Exception:
        logging.getLogger(__name__).exception("A process of the ledger ended by a fault.")
    finally:
        os._exit(0)


def _stop_at(ending: int) -> None:
    os.read(ending, 1)
    os.kill(os.getpid(), signal.SIGTERM)


def _trust(behind_tls: bool) -> dict:
    """Believe what a proxy on this machine says of the visitor; else leave it to be seen.

    The first page refuses a visitor whom a proxy brings, so it must see that there is one.
    """
    if not behind_tls:
        return {"clear_untrusted_proxy_headers": False}
    return {
        "trusted_proxy": "127.0.0.1",
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
        "clear_untrusted_proxy_headers": True,
    }


def _stop(*_signal) -> None:
    # A second Ctrl-C must not break off the clean end that the first one began.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    raise Stopped
