"""Draw QR codes by ISO/IEC 18004, for labels and for screens."""

import segno
from django.utils.safestring import SafeString, mark_safe

QUIET = 4
"""How many modules of white the standard asks for on each side."""


def drawn(text: str) -> SafeString:
    """Return a QR code of `text` as an SVG picture without a size of its own.

    Some 15% of it may be soiled before it cannot be read (level M, from memory), or more
    where that needs no larger code.
    """
    code = segno.make(text, error="m", micro=False)
    return mark_safe(code.svg_inline(border=QUIET, omitsize=True, light="#fff", svgclass="qr"))
