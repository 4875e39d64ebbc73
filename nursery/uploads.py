"""How large what is sent may be, said before it is read."""

from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.utilities import RequestEntityTooLarge

MEGABYTE = 1_000_000
# The largest that a page takes is a picture of 12 MB.
LARGEST_BODY = 16 * MEGABYTE
TOO_LARGE = (
    f"What you sent is larger than {LARGEST_BODY // MEGABYTE} MB, so nothing of it was read. "
    "Go back and choose a smaller file: a table may have 5 MB, a picture 12 MB."
)


class Parser(HTTPRequestParser):
    """Reads requests. One whose Content-Length is too much is refused before its body comes."""

    def received(self, data: bytes) -> int:
        """Take what has come, and say in words where it is too much."""
        taken = super().received(data)
        if isinstance(self.error, RequestEntityTooLarge):
            self.error.body = TOO_LARGE
        return taken


class Channel(HTTPChannel):
    """A connection that reads so."""

    parser_class = Parser
