"""Read a lot's code as it is typed, pasted or scanned.

A label's code is an address of this ledger that ends in /s/CODE/. Which machine served it
when the label was printed makes no difference: the code alone counts.
"""

import re
from urllib.parse import quote, unquote

SHORT_PATH = "/s/"
_ADDRESS = re.compile(
    r"^(?:[a-z][a-z0-9+.-]*://\S*?|[^\s/]*)/s/([^?#]+?)/*(?:[?#].*)?$", re.IGNORECASE
)
_DASHES = dict.fromkeys(map(ord, "‐‑‒–—―−"), "-")


def short_path(code: str) -> str:
    """Return the short path that a label's code leads to."""
    return f"{SHORT_PATH}{quote(code, safe='')}/"


def code_in(text: str) -> str:
    """Return the code in what was typed, pasted or scanned; of an address its last part."""
    text = " ".join(text.split())
    address = _ADDRESS.match(text.replace(" ", ""))
    return unquote(address.group(1)).strip() if address else text


def alike(code: str) -> str:
    """Return what two spellings of one code have in common.

    Capitals, spaces, the kind of dash, and × for x make no difference.
    """
    return "".join(code.translate(_DASHES).replace("×", "x").split()).casefold()
