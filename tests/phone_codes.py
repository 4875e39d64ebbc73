"""An app for codes, written from RFC 6238 and RFC 4226 alone; it shares nothing with ours."""

import hmac
import struct
import time


def code_of(key: bytes, *, at: float | None = None, digits: int = 6) -> str:
    """Return the code that a phone shows at a moment, by default now."""
    step = int(time.time() if at is None else at) // 30
    mac = hmac.new(key, struct.pack(">Q", step), "sha1").digest()
    begin = mac[-1] & 15
    number = struct.unpack(">I", mac[begin : begin + 4])[0] & 0x7FFFFFFF
    return f"{number % 10**digits:0{digits}d}"
