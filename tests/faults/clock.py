"""Set the clock of this process, as far as Python asks for it: a machine without a battery."""

import datetime
import sys
import time
from contextlib import contextmanager

from django.utils import timezone

OURS = ("nursery.", "inventory.", "sales.")


@contextmanager
def set_back(by: datetime.timedelta):
    """Let every module of ours, and Django's sense of now, find the clock set back."""
    real_now, real_time = timezone.now, time.time

    class Date(datetime.date, metaclass=_AnyDate):
        def __new__(cls, *parts):
            return datetime.date(*parts)

        @classmethod
        def today(cls):
            return datetime.date.today() - by

    modules = [module for name, module in sys.modules.items() if name.startswith(OURS)]
    dated = [module for module in modules if vars(module).get("date") is datetime.date]
    timezone.now, time.time = lambda: real_now() - by, lambda: real_time() - by.total_seconds()
    for module in dated:
        module.date = Date
    try:
        yield
    finally:
        timezone.now, time.time = real_now, real_time
        for module in dated:
            module.date = datetime.date


class _AnyDate(type):
    """Lets every real date count as one of ours."""

    def __instancecheck__(cls, thing):
        return isinstance(thing, datetime.date)
