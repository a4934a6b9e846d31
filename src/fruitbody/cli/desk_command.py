"""`fruitbody demo | serve | manage`: the desk on this machine. Django is only touched when one of these runs."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from pathlib import Path
from typing import Any

PORT = 8000


def add(commands: Any) -> None:
    demo = commands.add_parser("demo", help="play the demo scenario and write a report PDF", description=__doc__)
    demo.add_argument("--out", type=Path, default=Path("out"), help="folder for the report PDF (default out)")
    demo.add_argument(
        "--data", type=Path, default=None, help="folder for the demo's database and files (default OUT/demo)"
    )
    demo.add_argument("--port", type=int, default=PORT)
    demo.add_argument("--no-serve", action="store_true", help="stop after the PDF")
    demo.set_defaults(run=run_demo)
    serve = commands.add_parser("serve", help="serve the desk on 127.0.0.1", description=__doc__)
    serve.add_argument("--port", type=int, default=PORT)
    serve.set_defaults(run=run_serve)
    manage = commands.add_parser("manage", help="Django's own commands (migrate, createsuperuser ...)")
    manage.add_argument("arguments", nargs=argparse.REMAINDER)
    manage.set_defaults(run=run_manage)


def run_demo(options: argparse.Namespace) -> int:
    """Create the database, play the scenario, carry one submission to its signed report, then serve."""
    data = (options.data or options.out / "demo").absolute()
    if not (data / "played").exists():
        _clear(data)
    open_desk(data, options.port)
    from fruitbody.desk.demo.play import play

    play(options.out)
    if not options.no_serve:
        _serve(options.port)
    return 0


def _clear(data: Path) -> None:
    """A demo that was interrupted is played anew; the photographs drawn so far are kept."""
    for name in ("desk.sqlite3", "desk.sqlite3-wal", "desk.sqlite3-shm"):
        (data / name).unlink(missing_ok=True)
    for name in ("media", "outbox"):
        shutil.rmtree(data / name, ignore_errors=True)


def run_serve(options: argparse.Namespace) -> int:
    """Bring the database up to date and serve until interrupted."""
    demo = Path("out/demo")
    data = os.environ.get("FRUITBODY_DATA") or (str(demo) if (demo / "desk.sqlite3").exists() else "data")
    open_desk(Path(data).absolute(), options.port)
    print(f"The desk is on http://127.0.0.1:{options.port}/ ; its data are in {data}. Stop it with Ctrl-C.", flush=True)
    _serve(options.port)
    return 0


def run_manage(options: argparse.Namespace) -> int:
    """Hand the words on to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fruitbody.desk.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(["fruitbody manage", *options.arguments])
    return 0


def open_desk(data: Path, port: int) -> None:
    """Settings, database and migrations for a desk whose files live in `data`."""
    data.mkdir(parents=True, exist_ok=True)
    os.environ["FRUITBODY_DATA"] = str(data)
    os.environ.setdefault("FRUITBODY_ADDRESS", f"http://127.0.0.1:{port}")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fruitbody.desk.settings")
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0, interactive=False)


def _serve(port: int) -> None:
    """Gunicorn on 127.0.0.1 with two workers; this process becomes it."""
    os.execv(
        sys.executable,
        [
            sys.executable, "-m", "gunicorn", "fruitbody.desk.wsgi:application", "--bind", f"127.0.0.1:{port}",
            "--workers", "2", "--timeout", "60", "--preload", "--log-level", "warning",
        ],
    )  # fmt: skip
