"""`fruitbody funga check | show NAME | characters | taxa | background | names | export | import`: what is known."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from fruitbody import funga
from fruitbody.cli import exchange_command
from fruitbody.funga.background import background_toml
from fruitbody.funga.check import check
from fruitbody.funga.checklist import read_checklist
from fruitbody.funga.export import character_entry, taxon_entry, taxon_text
from fruitbody.funga.files import own_folders
from fruitbody.funga.load import DATA, read_folder
from fruitbody.funga.nomenclature import proposals
from fruitbody.funga.search import find_taxon
from fruitbody.identify.separable import unseparated


def add(commands: Any) -> None:
    parser = commands.add_parser("funga", help="look at the knowledge and check it", description=__doc__)
    parts = parser.add_subparsers(dest="part", required=True, metavar="PART")
    one = parts.add_parser("check", help="prove the files, a sentence per finding")
    one.add_argument("--data", type=Path, default=DATA, help="another folder of funga files")
    one.set_defaults(run=run_check)
    one = parts.add_parser("show", help="one taxon, by any of its names")
    one.add_argument("name", nargs="+")
    one.set_defaults(run=run_show)
    for name, entries in (("characters", _characters), ("taxa", _taxa)):
        one = parts.add_parser(name, help=f"list the {name}")
        one.add_argument("--json", action="store_true", help="print JSON")
        one.set_defaults(run=run_list, entries=entries)
    one = parts.add_parser("background", help="print the background table made from the taxa as they are now")
    one.set_defaults(run=run_background)
    one = parts.add_parser("names", help="what an updated checklist would change in our names; changes nothing")
    one.add_argument("checklist", type=Path, help="a Darwin Core taxon file: a table, or an archive")
    one.add_argument("--json", action="store_true", help="print JSON")
    one.set_defaults(run=run_names)
    exchange_command.add(parts)


def run_check(options: argparse.Namespace) -> int:
    known, problems = read_folder(options.data, own_folders())
    remarks = [] if problems else [*check(known), *unseparated(known)]
    for problem in (*problems, *remarks):
        print(problem)
    total = len(problems) + len(remarks)
    print(
        f"{len(known.taxa)} taxa, {len(known.characters)} characters, {len(known.hazard_groups)} hazard groups: ",
        end="",
    )
    print("clean." if not total else f"{total} to mend.")
    return 1 if total else 0


def run_show(options: argparse.Namespace) -> int:
    known = funga.load()
    hit = find_taxon(known, " ".join(options.name))
    if hit.how:
        print(hit.how)
    print(taxon_text(known, hit.taxon))
    return 0


def run_list(options: argparse.Namespace) -> int:
    entries = options.entries(funga.load())
    if options.json:
        json.dump(entries, sys.stdout, ensure_ascii=False, indent=1)
        print()
    else:
        for entry in entries:
            print(
                f"{entry['id']:34} {entry.get('name') or ', '.join(s['id'] for s in entry['states']) or entry['unit']}"
            )
    return 0


def run_names(options: argparse.Namespace) -> int:
    """Proposals only: a person accepts them at the desk, where the history keeps who and why."""
    found = proposals(funga.load(), read_checklist(options.checklist), source=options.checklist.name)
    if options.json:
        json.dump([asdict(change) for change in found], sys.stdout, ensure_ascii=False, indent=1)
        print()
        return 0
    for change in found:
        print(f"{change.kind:7} {change.words} According to: {change.according_to}.")
    print(f"{len(found)} changes of names proposed; nothing was changed.")
    return 0


def run_background(options: argparse.Namespace) -> int:
    known, problems = read_folder(DATA)
    if problems:
        raise funga.FungaError(problems)
    print(background_toml(known), end="")
    return 0


def _characters(known: funga.Funga) -> list[dict[str, Any]]:
    return [character_entry(c) for c in known.characters.values()]


def _taxa(known: funga.Funga) -> list[dict[str, Any]]:
    return [taxon_entry(t) for t in known.taxa.values()]
