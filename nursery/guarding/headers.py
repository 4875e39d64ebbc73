"""What an answer tells the browser that it may do with it, whatever kind of answer it is.

Pages and scripts bear the policy of the settings. A file, such as a chart, a PDF or a calendar,
is only looked at: it may load nothing, send nothing and stand in nobody's frame.
"""

from collections.abc import Callable
from functools import wraps

from csp.constants import HEADER as POLICY
from django.http import HttpRequest, HttpResponse

# A script's own answer says what the script may fetch where it runs as a worker.
BEARS_THE_POLICY = ("text/html", "text/javascript")
OF_A_FILE = (
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "object-src 'none'"
)
CROSS_ORIGIN = "Cross-Origin-Resource-Policy"
USUAL = {
    # Nobody else's page shows a picture or a paper of the ledger.
    CROSS_ORIGIN: "same-origin",
    # No cache on the way keeps a page, and the browser asks again before it shows one anew. It
    # may keep it for Back, where what was typed must still stand: "no-store" would lose that.
    "Cache-Control": "private, no-cache",
}


class Headers:
    """Give each answer the headers that it has not given itself."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request with all its headers."""
        response = self.get_response(request)
        for name, value in USUAL.items():
            response.headers.setdefault(name, value)
        if response.headers.get("Content-Type", "").partition(";")[0] not in BEARS_THE_POLICY:
            response.headers.setdefault(POLICY, OF_A_FILE)
        return response


def forgotten_by_the_browser(view: Callable) -> Callable:
    """Let the browser forget the pages it keeps, as at logout.

    Only what it keeps to be quick: sales that wait for signal are not among it.
    """

    @wraps(view)
    def forgetting(request, *args, **kwargs):
        response = view(request, *args, **kwargs)
        if request.method == "POST":
            response.headers["Clear-Site-Data"] = '"cache"'
        return response

    return forgetting
