"""Founds a clinic with four people in the desk that the environment names: `python -m tests.whole_way.found`."""

from __future__ import annotations

import django


def main() -> None:
    django.setup()
    from django.core.management import call_command

    from fruitbody.desk.demo.play import found
    from fruitbody.desk.demo.scenario import read

    call_command("migrate", verbosity=0, interactive=False)
    found(read(), password="seven ruled pages")


if __name__ == "__main__":
    main()
