"""What a person reads when the server itself turns a request away, before the ledger sees it.

It asks for nothing more: no template, no style sheet, no database. The words are those of
the ledger's own pages for the same faults.
"""

import base64
import hashlib
from html import escape

from waitress.task import ErrorTask

from nursery.watching import faults
from nursery.watching.faults import Fault

# The colours and sizes are those of css/tokens.css, which cannot be asked for from here.
STYLE = """
:root{color-scheme:light dark}
body{max-width:38rem;margin:0 auto;padding:1.5rem 1rem;background:#faf7ef;color:#2a231d;
font:1rem/1.55 system-ui,"Segoe UI",Roboto,"Noto Sans",sans-serif}
h1{font:600 1.75rem/1.2 ui-serif,Charter,Georgia,serif;margin:0 0 .75rem}
p{margin:0 0 .75rem}
a{display:inline-flex;align-items:center;min-height:3rem;color:#2b6636}
:focus-visible{outline:3px solid #2a5a75}
@media(prefers-color-scheme:dark){body{background:#161a16;color:#ebe6da}a{color:#93cd8c}}
"""
PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<main>
<h1>{title}</h1>
<p>{what}</p>
<p>{then}</p>
<p><a href="/">To Today</a></p>
</main>
</body>
</html>
"""
STYLE_HASH = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
HEADERS = [
    ("Content-Type", "text/html; charset=utf-8"),
    (
        "Content-Security-Policy",
        f"default-src 'none'; style-src 'sha256-{STYLE_HASH}'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'",
    ),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "same-origin"),
    ("Cache-Control", "no-store"),
]


def _page(fault: Fault) -> bytes:
    words = {name: escape(getattr(fault, name)) for name in ("title", "what", "then")}
    return PAGE.format(style=STYLE, **words).encode()


# Written once; whatever else the parser says is that it could not understand.
PAGES = {413: _page(faults.TOO_LARGE), 500: _page(faults.BROKEN)}
NOT_UNDERSTOOD = _page(faults.NOT_UNDERSTOOD)


class TurnedAway(ErrorTask):
    """Answers a request that the server turns away with a page in the ledger's words."""

    def execute(self) -> None:
        """Send the page and end the connection, as nobody knows where the request ends."""
        error = self.request.error
        page = PAGES.get(error.code, NOT_UNDERSTOOD)
        self.status = f"{error.code} {error.reason}"
        self.response_headers.extend(HEADERS)
        self.set_close_on_finish()
        self.content_length = len(page)
        # To HEAD only the head is told.
        self.write(b"" if self.request.command == "HEAD" else page)
