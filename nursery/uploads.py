"""How large what is sent may be, said before it is read, and how slowly it may come."""

import time

from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.utilities import BadRequest

from nursery.turned_away import TurnedAway

MEGABYTE = 1_000_000
# The largest that a page takes is a picture of 12 MB.
LARGEST_BODY = 16 * MEGABYTE


class Parser(HTTPRequestParser):
    """Reads requests. One whose Content-Length is too much is refused before its body comes."""

    def received(self, data: bytes) -> int:
        """Take what has come, and find an error where its end can be read in two ways."""
        taken = super().received(data)
        if self.chunked and "CONTENT_LENGTH" in self.headers and not self.error:
            # Whoever stands between may believe the other of the two (RFC 9112, section 6.1).
            self.error, self.completed = BadRequest("Its length is told in two ways."), True
        return taken


# A request has this long to begin, and then as long as a weak signal needs for what it sent.
PATIENCE = 60
SLOWEST = 1_000
"""Bytes a second, over the whole of a request."""


class Channel(HTTPChannel):
    """A connection that reads so, and ends where a request comes drop by drop to keep it open."""

    parser_class = Parser
    error_task_class = TurnedAway
    begun = 0.0
    so_far = 0

    def received(self, data: bytes) -> bool:
        """Take what has come, or end the connection."""
        if self.request is None:
            self.begun, self.so_far = time.monotonic(), 0
        self.so_far += len(data)
        if time.monotonic() - self.begun > PATIENCE + self.so_far / SLOWEST:
            self.will_close = True
            return False
        return super().received(data)
