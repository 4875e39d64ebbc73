"""What is too large, too slow or not clear is refused before it is read."""

import base64
import hashlib
import socket
import threading

import pytest
import waitress
from waitress.adjustments import Adjustments

from nursery.serving import LARGEST_HEAD
from nursery.uploads import LARGEST_BODY, Channel, Parser


def asked(length):
    parser = Parser(Adjustments(max_request_body_size=LARGEST_BODY))
    parser.received(b"POST /notebook/ HTTP/1.1\r\nHost: a\r\nContent-Length: %d\r\n\r\n" % length)
    return parser


def test_fifty_megabytes_are_refused_by_their_length_alone():
    parser = asked(50_000_000)

    assert parser.completed and parser.error.code == 413


@pytest.mark.parametrize(
    ("head", "status", "words"),
    [
        (b"Content-Length: 50000000", "413 Request Entity Too Large", "a picture 12 MB"),
        (b"Content-Length: +5", "400 Bad Request", "nothing was changed"),
    ],
)
def test_who_is_turned_away_reads_a_page_that_may_load_nothing(served, head, status, words):
    with socket.create_connection(served) as one:
        one.sendall(b"POST /notebook/ HTTP/1.1\r\nHost: a\r\n" + head + b"\r\n\r\n")
        told, page = one.makefile("rb").read().decode().split("\r\n\r\n")

    assert told.startswith(f"HTTP/1.1 {status}\r\n")
    assert "Content-Type: text/html; charset=utf-8" in told
    assert "X-Content-Type-Options: nosniff" in told
    style = page.partition("<style>")[2].partition("</style>")[0].encode()
    known = base64.b64encode(hashlib.sha256(style).digest()).decode()
    assert f"Content-Security-Policy: default-src 'none'; style-src 'sha256-{known}';" in told
    assert words in page and "Go back in your browser" in page


def test_a_picture_of_twelve_megabytes_is_read():
    parser = asked(12_500_000)

    assert not parser.completed and parser.error is None


def test_a_head_without_an_end_is_refused():
    parser = Parser(Adjustments(max_request_header_size=LARGEST_HEAD))
    parser.received(b"GET / HTTP/1.1\r\nHost: a\r\nCookie: " + b"a" * LARGEST_HEAD)

    assert parser.completed and parser.error.code == 431


@pytest.mark.parametrize(
    "head",
    [
        b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n",
        b"Content-Length: 5\r\nContent-Length: 6\r\n",
        b"Content-Length: +5\r\n",
        b"Transfer-Encoding: chunked, identity\r\n",
        b"Transfer-Encoding : chunked\r\n",
    ],
)
def test_where_a_request_ends_cannot_be_read_in_two_ways(head):
    """RFC 9112, sections 5.1, 6.1 and 6.3: such a message ought to be refused."""
    parser = Parser(Adjustments())
    parser.received(b"POST / HTTP/1.1\r\nHost: a\r\n" + head + b"\r\n0\r\n\r\nGET /second")

    assert parser.completed and parser.error.code in (400, 501)


@pytest.fixture
def served(monkeypatch):
    """Serve one word, and be impatient."""
    monkeypatch.setattr("nursery.uploads.PATIENCE", 0.3)
    monkeypatch.setattr("nursery.uploads.SLOWEST", 10_000)

    def answer(environ, start_response):
        start_response("200 OK", [("Content-Length", "4")])
        return [b"here"]

    usual = {"host": "127.0.0.1", "port": 0, "max_request_body_size": LARGEST_BODY}
    server = waitress.create_server(answer, threads=1, **usual)
    server.channel_class = Channel
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield ("127.0.0.1", server.effective_port)
    server.close()
    thread.join(5)


def test_who_sends_drop_by_drop_is_let_go_and_keeps_nobody_waiting(served):
    slow = [socket.create_connection(served) for _ in range(8)]
    for one in slow:
        one.sendall(b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 900\r\n\r\n")

    with socket.create_connection(served) as quick:
        quick.sendall(b"GET / HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n")
        assert quick.makefile("rb").read().endswith(b"here")
    assert all(drips_until_closed(one) for one in slow)


def drips_until_closed(one):
    """Send a byte now and then; say whether the connection was ended before all was sent."""
    with one:
        one.settimeout(0.2)
        for _ in range(100):
            try:
                one.sendall(b"a")
                if one.recv(10) == b"":
                    return True
            except TimeoutError:
                continue
            except OSError:
                return True
    return False
