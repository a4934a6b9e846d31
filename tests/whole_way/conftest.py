"""A real desk: its own process, a real database (SQLite and PostgreSQL), a real SMTP server, a real browser."""

from __future__ import annotations

import email
import email.policy
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller

PASSWORD = "seven ruled pages"


@dataclass
class Letterbox:
    """Letters as the SMTP server received them."""

    letters: list[EmailMessage] = field(default_factory=list)

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802 (aiosmtpd's name)
        message = email.message_from_bytes(envelope.content, policy=email.policy.default)
        assert isinstance(message, EmailMessage)
        self.letters.append(message)
        return "250 OK"

    def to(self, address: str) -> list[EmailMessage]:
        return [letter for letter in self.letters if address in str(letter["To"])]


@dataclass(frozen=True)
class Desk:
    address: str
    letterbox: Letterbox
    data: Path


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def initdb() -> Path:
    """Debian keeps PostgreSQL's own programs apart."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb")) or [Path(shutil.which("initdb") or "initdb")]
    return found[-1]


@pytest.fixture(scope="session")
def postgres(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A throw-away PostgreSQL cluster on a socket only; it refuses to run as root, so root becomes `postgres`."""
    folder = Path("/tmp") / f"fruitbody-pg-{os.getpid()}"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    become = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if become:
        shutil.chown(folder, "postgres")
    port, programs = free_port(), initdb().parent
    data = folder / "data"
    subprocess.run(
        [*become, str(programs / "initdb"), "-D", str(data), "-U", "desk", "-A", "trust", "--no-sync"],
        check=True,
        capture_output=True,
        cwd=folder,
    )
    options = f"-k {folder} -p {port} -c listen_addresses= -c fsync=off"
    start = [
        *become,
        str(programs / "pg_ctl"),
        "-D",
        str(data),
        "-o",
        options,
        "-w",
        "-l",
        str(folder / "log"),
        "start",
    ]
    subprocess.run(start, check=True, capture_output=True, cwd=folder)
    yield f"postgresql://desk@/postgres?host={folder}&port={port}"
    stop = [*become, str(programs / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop"]
    subprocess.run(stop, check=False, capture_output=True, cwd=folder)
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def desk(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The desk as `fruitbody serve` runs it, with an invented clinic and its four people, sending real mail."""
    letterbox, data, port = Letterbox(), tmp_path_factory.mktemp("desk"), free_port()
    smtp = Controller(letterbox, hostname="127.0.0.1", port=free_port())
    smtp.start()
    address = f"http://127.0.0.1:{port}"
    environment = {
        **os.environ,
        "FRUITBODY_DATA": str(data),
        "FRUITBODY_ADDRESS": address,
        "FRUITBODY_SMTP_URL": f"smtp://127.0.0.1:{smtp.port}",
        "DJANGO_SETTINGS_MODULE": "fruitbody.desk.settings",
    }
    if request.param == "postgresql":
        environment["FRUITBODY_DATABASE_URL"] = request.getfixturevalue("postgres")
    command = [sys.executable, "-m", "tests.whole_way.found"]
    subprocess.run(command, check=True, env=environment, timeout=120)
    serve = [sys.executable, "-m", "fruitbody.cli.main", "serve", "--port", str(port)]
    with (data / "serve.log").open("w") as log:
        server = subprocess.Popen(serve, env=environment, stdout=log, stderr=log)
    try:
        wait_for(address, data / "serve.log")
        yield Desk(address, letterbox, data)
    finally:
        server.terminate()
        server.wait(timeout=20)
        smtp.stop()


def wait_for(address: str, log: Path) -> None:
    for _ in range(240):
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except OSError:
            time.sleep(0.25)
    raise RuntimeError(f"The desk did not answer within a minute: {log.read_text()}")
