"""The command `fruitbody`: reads the words, calls one function, prints."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from fruitbody import __version__
from fruitbody.cli import (
    colour_command,
    desk_command,
    evaluate_command,
    funga_command,
    identify_command,
    measure_command,
    spores_command,
    staff_command,
)


def build_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="fruitbody",
        description="The identification desk of a clinic that names mushrooms for the public. It names fungi; it does "
        "not say whether any mushroom is safe to eat.",
    )
    parser.add_argument("--version", action="version", version=f"fruitbody {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    identify_command.add(commands)
    colour_command.add(commands)
    funga_command.add(commands)
    evaluate_command.add(commands)
    spores_command.add(commands)
    measure_command.add(commands)
    desk_command.add(commands)
    staff_command.add(commands)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Returns 0, or 2 after a sentence on standard error that says what to do."""
    options = build_parser().parse_args(arguments)
    try:
        return int(options.run(options))
    except BrokenPipeError:
        return 0
    except (ValueError, OSError) as error:
        print(f"fruitbody: {error}", file=sys.stderr)
        return 2


if __name__ == "__main__":
    sys.exit(main())
