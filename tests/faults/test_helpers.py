"""What runs for another process ends with it, and leaves nothing of its own behind."""

import os
import select
from functools import partial

import pytest

from nursery.keeping import proof
from tests.faults.process import PATIENCE, Writer

pytestmark = pytest.mark.sqlite
LASTING = """
import time
told = open({told!r}, "w")
told.write("begun")
told.flush()
time.sleep({seconds})
"""


def test_a_helper_ends_with_its_asker_who_is_killed(tmp_path):
    os.mkfifo(told := str(tmp_path / "told"))
    lasting = LASTING.format(told=told, seconds=2 * PATIENCE)
    ear = os.open(told, os.O_RDONLY | os.O_NONBLOCK)

    asker = Writer(lambda _: proof.command_on(f"sqlite:///{tmp_path}/none", "shell", "-c", lasting))
    begun = _heard(ear)
    asker.kill()
    asker.bury()

    assert begun == b"begun"
    assert _heard(ear) == b"", "the helper is gone, and its end of the pipe with it"
    os.close(ear)


def test_a_helper_whose_asker_is_gone_makes_no_file_anew(tmp_path, monkeypatch):
    monkeypatch.setattr(proof, "held_open", partial(open, os.devnull))

    proof.command_on(f"sqlite:///{tmp_path}/ledger.sqlite3.part", "migrate")

    assert not list(tmp_path.iterdir())


def _heard(ear: int) -> bytes:
    """Return what is said next, or nothing once nobody is there to say it."""
    assert select.select([ear], [], [], PATIENCE)[0], "nothing was heard"
    return os.read(ear, 100)
