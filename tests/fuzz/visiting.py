"""Visit addresses one after the other, and take back whatever a visit wrote.

`Visitor.ask` never raises for what a page does: it keeps it among `faults`, so that one test
visits thousands of addresses and tells of all that broke.
"""

import time
import traceback
from dataclasses import dataclass, field
from pathlib import Path

from django.db import transaction
from django.http import QueryDict
from django.test import Client

ROOT = Path(__file__).resolve().parent.parent.parent
NOT_OURS = {".venv", "tests", "watching"}
NOTED = "tests.fuzz.visiting.NoteWhatIsRead"


class Noting(QueryDict):
    """What was sent, noting each name that is asked for."""

    names: set[str] = set()

    def __getitem__(self, key):
        self.names.add(str(key))
        return super().__getitem__(key)

    def __contains__(self, key):
        self.names.add(str(key))
        return super().__contains__(key)

    def getlist(self, key, default=None):
        """Return all values under a name."""
        self.names.add(str(key))
        return super().getlist(key, default)


class NoteWhatIsRead:
    """Middleware that notes which parameters and fields a view asks for."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        """Answer, noting."""
        request.GET = Noting(request.META["QUERY_STRING"])
        if request.method == "POST" and "json" not in request.META.get("CONTENT_TYPE", ""):
            sent = Noting("", mutable=True)
            for name, values in request.POST.lists():
                sent.setlist(name, values)
            request.POST = sent
        return self.get_response(request)


@dataclass
class Visitor:
    """A browser that is logged in, and what it met."""

    client: Client
    visits: int = 0
    faults: dict[str, str] = field(default_factory=dict)
    slowest: tuple[float, str] = (0, "")

    def ask(self, address: str, method: str = "get", data=None, **more):
        """Ask an address, take back what that wrote, and return the answer, or None for a fault."""
        self.visits += 1
        Noting.names.clear()
        begun = time.process_time()
        told = f"{method.upper()} {address[:150]} {str(data or '')[:200]}"
        try:
            with transaction.atomic():
                answer = getattr(self.client, method)(address, data, **more)
                # A file is read while it is asked for, in pieces.
                answer.whole = b"".join(answer) if answer.streaming else answer.content
                transaction.set_rollback(True)
        except Exception as error:
            self._note(error, told)
            return None
        self.slowest = max(self.slowest, (time.process_time() - begun, told))
        if answer.status_code >= 500:
            self.faults.setdefault(f"{answer.status_code} {told}", told)
            return None
        return answer

    def _note(self, error, told):
        """Keep one visit for each place in the code that broke."""
        what = f"{type(error).__name__}: {str(error)[:160]}"
        self.faults.setdefault(place_of(error), f"{told} -> {what}")


def place_of(error: Exception) -> str:
    """Say where in our own code an error came up, and of what kind it is."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if ROOT in Path(frame.filename).parents]
    ours = [frame for frame in ours if not NOT_OURS & set(Path(frame.filename).parts)]
    at = [f"{Path(frame.filename).relative_to(ROOT)}:{frame.lineno}" for frame in ours[-2:]]
    return " ".join((*at, type(error).__name__))


def told(faults: dict[str, str]) -> str:
    """Write what broke, a line each."""
    return "\n" + "\n".join(f"{place}\n    {visit}" for place, visit in sorted(faults.items()))
