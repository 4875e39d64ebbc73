"""One ledger answered by several processes at one address, each of which ends with the first."""

import signal
from urllib.request import urlopen

import psutil
import pytest

from tests.served import served

pytestmark = pytest.mark.sqlite


@pytest.fixture
def up(first_start, tmp_path):
    """Serve a ledger by three processes."""
    with served(first_start, tmp_path, "--processes", "3") as process:
        yield process


def test_each_of_several_processes_answers(up):
    first, *others = [psutil.Process(up.pid), *psutil.Process(up.pid).children()]
    assert len(others) == 2

    for resting in (others, [first, others[0]], [first, others[1]]):
        for process in resting:
            process.suspend()
        assert urlopen(up.address, timeout=20).status == 200
        for process in resting:
            process.resume()


@pytest.mark.parametrize("sent", [signal.SIGTERM, signal.SIGKILL])
def test_all_processes_end_with_the_first_however_it_ends(up, sent):
    others = psutil.Process(up.pid).children()

    up.send_signal(sent)

    _, alive = psutil.wait_procs(others, timeout=20)
    assert alive == []
    assert up.wait(20) == (0 if sent == signal.SIGTERM else -signal.SIGKILL)
