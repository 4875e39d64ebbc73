"""How much may be asked from one place in a time: enough for a busy day, too little to guess.

Each place has a bucket. A request takes drops from it, and it fills up again by the second; who
finds it empty is told to wait. Buckets lie in memory and each server has its own: a row for each
request of a stranger would let strangers make the ledger write. So with several servers a place
has that many times as much.
"""

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from threading import Lock

from django.http import HttpRequest, HttpResponse

from nursery.openly import is_open
from nursery.visitor import is_this_machine, origin_of
from nursery.watching.errors import show
from nursery.watching.faults import TOO_OFTEN

# As many places as are remembered; the one not heard of for longest is forgotten first.
MOST_PLACES = 20_000


@dataclass
class Bucket:
    """What is left of a place's bucket, and when that was so."""

    left: float
    at: float


class Buckets:
    """The buckets of all places: each holds `size` drops and gains `refill` a second."""

    def __init__(self, *, size: int, refill: float, clock: Callable[[], float] = time.monotonic):
        self.size, self.refill, self.clock = size, refill, clock
        self._of: OrderedDict[str, Bucket] = OrderedDict()
        self._lock = Lock()

    def take(self, place: str, drops: int = 1) -> int:
        """Take drops and return 0, or take none and return the seconds to wait for them."""
        with self._lock:
            now = self.clock()
            bucket = self._of.pop(place, None) or Bucket(self.size, now)
            bucket.left = min(self.size, bucket.left + (now - bucket.at) * self.refill)
            bucket.at = now
            self._of[place] = bucket
            if len(self._of) > MOST_PLACES:
                self._of.popitem(last=False)
            if bucket.left < drops:
                return ceil((drops - bucket.left) / self.refill)
            bucket.left -= drops
            return 0


# A shop full of people at one address, pages with eighty pictures on them.
EVERYTHING = {"size": 1_500, "refill": 25}
# What strangers reach. Many phones share one address of their carrier.
DOORS = {"size": 240, "refill": 2}
# A password tried costs a good deal, and a PDF set anew costs the ledger a second; pictures
# come by the dozen.
DROPS = {
    "login": 8,
    "login-code": 8,
    "welcome": 8,
    "helper-join": 8,
    "sales:shared-pdf": 12,
    "sales:public-photo": 0,
}


class KeepPace:
    """Answer 429 where too much is asked from one place. This machine itself may ask anything."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]):
        self.get_response = get_response
        self.everything, self.doors = Buckets(**EVERYTHING), Buckets(**DOORS)

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, unless this place has asked too much of anything."""
        if not is_this_machine(request):
            request.origin = origin_of(request)
            if wait := self.everything.take(request.origin):
                return _told_to_wait(request, wait)
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view, *_arguments) -> HttpResponse | None:
        """Stop whoever asks too much of what is open to strangers, before anything is looked up."""
        if is_this_machine(request) or not _is_a_door(view):
            return None
        drops = DROPS.get(request.resolver_match.view_name, 1)
        wait = self.doors.take(request.origin, drops)
        return _told_to_wait(request, wait) if wait else None


def _is_a_door(view) -> bool:
    """Say whether a view is reached without a login."""
    return is_open(view) or not getattr(view, "login_required", True)


def _told_to_wait(request, seconds):
    return show(request, TOO_OFTEN._replace(stands_alone=True, retry_after=seconds))
