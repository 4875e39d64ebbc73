"""The log of a served ledger: nobody waits for who reads it, and it is written to the end."""

import fcntl
import signal
from urllib.request import urlopen

import pytest

from tests.served import served

pytestmark = pytest.mark.sqlite
# The least that a pipe on Linux can hold, pipe(7).
PIPE_HOLDS = 4_096


@pytest.fixture
def up(first_start, tmp_path):
    """Serve a ledger that logs each request and each question, to a pipe that nobody reads yet."""
    much = {"NURSERY_LOG": "all", "NURSERY_SLOW_QUERY": "0"}
    with served(first_start, tmp_path, **much) as process:
        fcntl.fcntl(process.stderr, fcntl.F_SETPIPE_SZ, PIPE_HOLDS)
        yield process


def test_pages_are_answered_while_nobody_takes_the_log(up):
    answers = [urlopen(up.address, timeout=20) for _ in range(100)]
    assert {answer.status for answer in answers} == {200}

    up.send_signal(signal.SIGTERM)
    assert up.wait(20) == 0
    # The pipe was full long before.
    assert answers[-1].headers["X-Request-ID"] not in up.stderr.read()


def test_the_log_of_the_last_request_is_written_before_the_end(up):
    references = [urlopen(up.address).headers["X-Request-ID"] for _ in range(20)]

    up.send_signal(signal.SIGTERM)
    log = up.communicate(timeout=20)[1]
    assert [reference for reference in references if reference not in log] == []
