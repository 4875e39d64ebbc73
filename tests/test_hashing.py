"""Many who log in at one moment do not take all the memory of a small machine."""

import subprocess
import sys

import pytest

pytestmark = pytest.mark.sqlite

LOG_IN = """
import re, threading
from pathlib import Path
from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
settings.configure(PASSWORD_HASHERS=["nursery.people.hashing.InTurn"])
kept = make_password("moss-on-the-north-side")
right = []
people = [
    threading.Thread(target=lambda: right.append(check_password("moss-on-the-north-side", kept)))
    for _ in range(6)
]
for one in people:
    one.start()
for one in people:
    one.join()
assert right == 6 * [True]
# The most this program had; getrusage() would tell of the one that started it too.
print(int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) // 1024)
"""


def test_six_log_ins_at_once_take_the_memory_of_two():
    """RFC 9106: a password in work fills the memory it is set to, here 100 MB."""
    told = subprocess.run([sys.executable, "-c", LOG_IN], capture_output=True, text=True)

    assert 200 < int(told.stdout or 0) < 400, told.stderr
