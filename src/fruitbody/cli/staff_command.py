"""`fruitbody staff USERNAME --role ROLE`: an account for a member of the staff, made at the machine itself."""

from __future__ import annotations

import argparse
import getpass
import os
from pathlib import Path
from typing import Any

from fruitbody.cli.desk_command import open_desk

ROLES = ("front-desk", "diagnostician", "second-reader", "manager")


def add(commands: Any) -> None:
    parser = commands.add_parser("staff", help="make an account for a member of the staff", description=__doc__)
    parser.add_argument("username")
    parser.add_argument("--role", choices=ROLES, required=True)
    parser.add_argument("--first-name", default="")
    parser.add_argument("--last-name", default="")
    parser.add_argument("--title", default="", help="as printed under a signature")
    parser.add_argument("--email", default="")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Ask for a password twice and make the account in the desk whose files lie in FRUITBODY_DATA (default ./data)."""
    open_desk(Path(os.environ.get("FRUITBODY_DATA") or "data").absolute(), port=8000)
    from django.core.exceptions import ValidationError

    from fruitbody.desk.people.actions import add_staff

    password = getpass.getpass("Password: ")
    if getpass.getpass("The same again: ") != password:
        raise ValueError("The two passwords differ. Nothing was made; try again.")
    fields = {
        name: getattr(options, name) for name in ("username", "role", "first_name", "last_name", "title", "email")
    }
    try:
        user = add_staff(fields, password=password)
    except ValidationError as error:
        raise ValueError(" ".join(error.messages)) from error
    print(f"{user.full_name} may sign in as {user.username}.")
    return 0
