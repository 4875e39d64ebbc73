"""A small PostgreSQL server of one's own, to stop, start and copy as a test likes."""

import os
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

from django.db import connection

from tests.served import free_port

# Nothing here outlives the run, so nothing waits for the disk.
IN_A_HURRY = "-c fsync=off -c full_page_writes=off -c shared_buffers=32MB"


def programs() -> Path:
    """Return the folder of the server's programs, of the newest version that is there."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: int(path.parts[-2]))
    return found[-1] if found else Path(shutil.which("initdb") or "/usr/bin/initdb").parent


def as_postgres(program: str, *words: str, **how) -> subprocess.CompletedProcess:
    """Run a program of PostgreSQL, which never runs as root."""
    asked = [str(programs() / program), *words]
    if os.geteuid() == 0:
        asked = ["runuser", "-u", "postgres", "--", *asked]
    how = {"cwd": "/", "check": True, "stdout": subprocess.PIPE, "stderr": subprocess.STDOUT} | how
    return subprocess.run(asked, **how)


@dataclass
class Cluster:
    """A server with its folder and port."""

    folder: Path
    port: str

    @classmethod
    def new(cls) -> "Cluster":
        """Make and start an empty one."""
        cluster = cls(*_room())
        as_postgres(
            "initdb",
            *("-D", str(cluster.folder / "data"), "--auth=trust", "--no-sync"),
            *("--username=postgres", "--encoding=UTF8", "--no-locale"),
        )
        cluster.start()
        return cluster

    def standby(self) -> "Cluster":
        """Make and start one that follows this one by streaming."""
        other = Cluster(*_room())
        as_postgres(
            "pg_basebackup",
            *("-h", "127.0.0.1", "-p", self.port, "-U", "postgres", "-D", f"{other.folder}/data"),
            *("--write-recovery-conf", "--checkpoint=fast", "--no-sync"),
        )
        other.start()
        return other

    def start(self) -> None:
        """Start it and wait until it answers."""
        options = f"-p {self.port} -h 127.0.0.1 -k {self.folder} {IN_A_HURRY}"
        # The server keeps what it inherits open, so its words go into a file.
        self._control("start", "-l", str(self.folder / "log"), "-o", options)

    def stop(self) -> None:
        """Stop it at once, as a server that is lost."""
        self._control("stop", "-m", "immediate")

    def restart(self) -> None:
        """Stop it in good order, ending every connection, and start it again."""
        self._control("restart", "-m", "fast")

    def remove(self) -> None:
        """Leave nothing of it."""
        self._control("stop", "-m", "immediate", check=False)
        shutil.rmtree(self.folder, ignore_errors=True)

    def url(self, name: str) -> str:
        """Return the address of one of its databases."""
        return f"postgres://postgres@127.0.0.1:{self.port}/{name}"

    def database(self, name: str, *, like: str = "template1") -> str:
        """Make a database and return its address."""
        as_postgres("createdb", "-h", "127.0.0.1", "-p", self.port, "-T", like, name)
        return self.url(name)

    def with_the_tables(self, name: str) -> str:
        """Make a database as the migrations left the one the tests run on."""
        url, tests = self.database(name), connection.settings_dict
        asked = [("-h", "HOST"), ("-p", "PORT"), ("-U", "USER")]
        where = [word for sign, key in asked if tests[key] for word in (sign, str(tests[key]))]
        dumped = as_postgres(
            *("pg_dump", *where, "--no-owner", tests["NAME"]),
            env=os.environ | {"PGPASSWORD": tests["PASSWORD"]},
        )
        words = ("-h", "127.0.0.1", "-p", self.port, "--quiet", "-v", "ON_ERROR_STOP=1", name)
        as_postgres("psql", *words, input=dumped.stdout)
        return url

    def _control(self, *words: str, check: bool = True) -> None:
        how = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "check": check}
        as_postgres("pg_ctl", "-D", str(self.folder / "data"), "-w", *words, **how)


def _room() -> tuple[Path, str]:
    folder = Path(tempfile.mkdtemp(prefix="nursery-cluster-"))
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
    return folder, free_port()
