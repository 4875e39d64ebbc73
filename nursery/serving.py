"""Serve the ledger with waitress until somebody stops it."""

import logging
import signal
from collections.abc import Callable

import waitress

from nursery.uploads import LARGEST_BODY, Channel

# Pages take milliseconds and SQLite writes one at a time: more threads would only wait.
THREADS = 6
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


def serve(application, *, host: str, port: int, behind_tls: bool, when_ready: Callable) -> None:
    """Answer requests until the process is asked to end, then finish those under way."""
    logging.getLogger("waitress").setLevel(logging.ERROR)
    server = waitress.create_server(
        application,
        host=host,
        port=port,
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
    try:
        when_ready()
        # run() ends by itself at Stopped, as at any KeyboardInterrupt, once requests are answered.
        server.run()
    except Stopped:
        # It came between the greeting and the first request.
        server.task_dispatcher.shutdown()
    finally:
        server.close()


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
