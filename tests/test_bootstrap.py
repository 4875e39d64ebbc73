"""The commands as a person meets them, each in a process of its own."""

import os
import signal
import socket
import subprocess
import sys
import time
from urllib.request import urlopen

import pytest

from nursery import bootstrap, exclusive, machine_needs, renew_lock
from tests.served import begin, free_port, read_until_open, surroundings_of

ROOT = bootstrap.ROOT
# Each starts processes on a SQLite file of its own, whatever database the suite runs on.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def data(tmp_path):
    """Name a folder for a ledger of its own."""
    return tmp_path / "data"


@pytest.fixture
def command(data):
    """Start manage.py with some words; what still runs at the end is ended."""
    started = []

    def start(*words, **changes) -> subprocess.Popen:
        started.append(begin(*words, folder=data, **changes))
        return started[-1]

    yield start
    for process in started:
        process.kill()
        process.communicate()


@pytest.fixture
def up(command, first_start, data):
    """Start `up` on an empty ledger, as every time but the first."""
    first_start.copy_to(data)

    def start(*words) -> subprocess.Popen:
        words = words if "--port" in words else (*words, "--port", free_port())
        return command("up", *words)

    return start


def test_up_leads_an_empty_ledger_to_its_first_page(up):
    port = free_port()
    lines = read_until_open(up("--port", port))

    assert lines[0] == f"The ledger is open at http://127.0.0.1:{port}/welcome/"
    with urlopen(f"http://127.0.0.1:{port}/", timeout=20) as page:
        assert page.url.endswith("/welcome/")
        assert "Which nursery is this ledger for?" in page.read().decode()


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
def test_up_ends_cleanly_when_it_is_stopped(up, name):
    server = up()
    read_until_open(server)
    server.send_signal(getattr(signal, name))
    said, complaints = server.communicate(timeout=20)

    assert said.splitlines() == ["The ledger is stopped. Everything entered is saved."]
    assert "Traceback" not in complaints
    assert server.returncode == 0


def test_up_started_twice_says_where_it_runs(up):
    port = free_port()
    read_until_open(up("--port", port))

    for other_port in (port, free_port()):
        second = up("--port", other_port)
        said, complaints = second.communicate(timeout=20)
        assert complaints == f"The ledger is already running at http://127.0.0.1:{port}\n"
        assert (said, second.returncode) == ("", 1)


def test_up_names_another_port_where_a_stranger_has_it(up):
    with socket.socket() as stranger:
        stranger.bind(("127.0.0.1", 0))
        stranger.listen()
        port = str(stranger.getsockname()[1])
        refused = up("--port", port)
        complaints = refused.communicate(timeout=20)[1]

    assert f"Port {port} on 127.0.0.1 is taken" in complaints
    assert "--port" in complaints
    assert "Traceback" not in complaints
    assert refused.returncode == 1


def test_up_killed_outright_does_not_stand_in_the_way_of_the_next(up):
    first = up()
    read_until_open(first)
    first.kill()
    first.communicate()

    assert read_until_open(up())


def test_up_for_the_network_asks_newcomers_for_a_token(up):
    lines = read_until_open(up("--host", "0.0.0.0"))

    assert "/welcome/?token=" in lines[0]


def test_long_steps_are_told_on_standard_error_only(first_start):
    assert "Preparing the database ..." in first_start.told
    assert "Gathering style sheets and scripts ..." in first_start.told
    assert not any(line.endswith("...") for line in first_start.lines)


def test_the_second_start_has_no_long_step(up):
    second = up()
    read_until_open(second)
    second.send_signal(signal.SIGTERM)

    assert second.communicate(timeout=20)[1] == ""


def test_the_secret_key_is_the_owners_alone(command, data):
    command("check").communicate(timeout=60)
    key = data / "secret-key"

    assert len(key.read_text()) > 50
    if os.name == "posix":
        assert key.stat().st_mode & 0o777 == 0o600


def test_the_database_named_relatively_is_in_the_current_folder(command):
    said = command("diffsettings", DATABASE_URL="sqlite:///here.sqlite3")

    assert f"'NAME': '{ROOT / 'here.sqlite3'}'" in said.communicate(timeout=60)[0]


def test_the_lock_file_names_no_host_and_hashes_everything():
    text = bootstrap.LOCK_FILE.read_text(encoding="utf-8")
    entries = renew_lock.entries_in(text)

    assert "://" not in text
    assert "index" not in "".join(line for line in text.splitlines() if line.startswith("-"))
    assert all("==" in entry and "--hash=sha256:" in entry for entry in entries)


def test_both_sections_of_the_lock_file_are_found():
    found = bootstrap.sections(bootstrap.LOCK_FILE.read_text(encoding="utf-8"))

    assert "\ndjango==" in found["run"]
    assert "\npytest==" in found["test"]
    assert "pytest==" not in found["run"]


def test_two_processes_cannot_hold_one_file(tmp_path):
    path = tmp_path / "held"
    attempt = (
        "import pathlib, sys; from nursery import exclusive;"
        "print(exclusive.try_to_hold(exclusive.open_to_hold(pathlib.Path(sys.argv[1]))))"
    )
    ask = [sys.executable, "-c", attempt, str(path)]
    with exclusive.open_to_hold(path) as file:
        assert exclusive.try_to_hold(file)
        assert subprocess.check_output(ask, cwd=ROOT, text=True) == "False\n"

    assert subprocess.check_output(ask, cwd=ROOT, text=True) == "True\n"


@pytest.fixture
def new_home(tmp_path, monkeypatch):
    """Point the bootstrap at an empty folder with a lock file of no packages."""
    lock = tmp_path / "requirements.lock"
    lock.write_text("# ---- section: run ----\n# ---- section: test ----\n")
    environment = tmp_path / ".venv"
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(bootstrap, "LOCK_FILE", lock)
    monkeypatch.setattr(bootstrap, "ENVIRONMENT", environment)
    monkeypatch.setattr(bootstrap, "STAMP", environment / "stamp.json")
    monkeypatch.setattr(
        bootstrap, "PYTHON", environment / bootstrap.PYTHON.relative_to(ROOT / ".venv")
    )
    return environment


def test_an_environment_is_ready_only_when_its_last_step_is_done(new_home, capfd):
    bootstrap._prepare(("run",))
    assert bootstrap._is_ready(("run",))
    assert not bootstrap._is_ready(("run", "test"))

    bootstrap._write_stamp({"python": bootstrap._stamp()["python"], "unfinished": "run"})
    (new_home / "half-installed").touch()
    bootstrap._prepare(("run",))

    assert bootstrap._is_ready(("run",))
    assert not (new_home / "half-installed").exists(), "it was made again from nothing"
    told = capfd.readouterr()
    assert told.out == ""
    assert told.err.count("Making the Python environment") == 2


def test_what_is_missing_is_named_to_whoever_may_not_install_it(monkeypatch):
    monkeypatch.setattr(machine_needs, "_may_install", lambda: False)
    monkeypatch.setattr(machine_needs, "pdf_libraries_are_there", lambda: False)
    monkeypatch.setattr(sys, "platform", "linux")
    told, stamps = [], []
    machine_needs.provide(("run",), {}, told.append, stamps.append)

    assert len(told) == 1
    assert "sudo apt-get install libpango-1.0-0" in told[0]
    assert not stamps, "it is looked for again at the next start"


def test_a_start_with_everything_in_place_is_quick(tmp_path):
    surroundings = surroundings_of(tmp_path)
    del surroundings["NURSERY_NO_BOOTSTRAP"]
    ask = [sys.executable, "-c", "from nursery import bootstrap; bootstrap.enter([])"]
    began = time.perf_counter()
    done = subprocess.run(ask, env=surroundings, cwd=ROOT, capture_output=True, timeout=60)
    seconds = time.perf_counter() - began

    assert (done.stdout, done.stderr, done.returncode) == (b"", b"", 0)
    assert seconds < 5, "usually a tenth of a second"
