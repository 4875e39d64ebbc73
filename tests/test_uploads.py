"""What is too large is refused before it is read."""

from waitress.adjustments import Adjustments

from nursery.uploads import LARGEST_BODY, Parser


def asked(length):
    parser = Parser(Adjustments(max_request_body_size=LARGEST_BODY))
    parser.received(b"POST /notebook/ HTTP/1.1\r\nHost: a\r\nContent-Length: %d\r\n\r\n" % length)
    return parser


def test_fifty_megabytes_are_refused_by_their_length_alone():
    parser = asked(50_000_000)

    assert parser.completed and parser.error.code == 413
    assert "a table may have 5 MB" in parser.error.body


def test_a_picture_of_twelve_megabytes_is_read():
    parser = asked(12_500_000)

    assert not parser.completed and parser.error is None
