"""`fruitbody funga export --as sdd|nexus|csv` and `fruitbody funga import FILE --into FOLDER`: open standards."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fruitbody import __version__, funga
from fruitbody.funga.check import check
from fruitbody.funga.csv_export import csv_text
from fruitbody.funga.files import VARIABLE, own_folders
from fruitbody.funga.matrix import Plan, plan_import, write
from fruitbody.funga.nexus import nexus_text
from fruitbody.funga.rows import Filled
from fruitbody.funga.sdd import sdd_text
from fruitbody.identify.separable import unseparated
from fruitbody.report.banned import banned_words

MOST_SHOWN = 50


def _sdd(known: funga.Funga) -> str:
    return sdd_text(known, version=__version__, created=datetime.now(UTC))


FORMS: dict[str, tuple[Callable[[funga.Funga], str], str]] = {
    "sdd": (_sdd, "utf-8"),
    "nexus": (nexus_text, "utf-8"),
    "csv": (csv_text, "utf-8-sig"),
}
"""Form -> its writer, and the encoding of a file: spreadsheets know UTF-8 by its mark only."""


def add(parts: Any) -> None:
    one = parts.add_parser("export", help="write the funga in an open standard, or as our own table")
    one.add_argument("--as", dest="form", choices=tuple(FORMS), required=True, help="the form to write")
    one.add_argument("--out", type=Path, metavar="FILE", help="write to this file instead of the screen")
    one.set_defaults(run=run_export)
    one = parts.add_parser("import", help="taxa of your own from a CSV table or a NEXUS matrix")
    one.add_argument("file", type=Path, metavar="FILE", help="a table in our CSV layout, or NEXUS")
    one.add_argument("--into", type=Path, required=True, metavar="FOLDER", help="the folder of your own taxa")
    one.add_argument("--beside", type=Path, metavar="CSV", help="a table with the fields that NEXUS cannot hold")
    for name, words in (
        ("genus", "the genus of rows that name none"),
        ("family", "the family of genera that are not ours"),
        ("order", "the order of genera that are not ours"),
        ("region", "the region of rows that name none"),
    ):
        one.add_argument(f"--{name}", default="", metavar="NAME", help=words)
    one.add_argument("--replace", action="store_true", help="write files anew that are there already")
    one.set_defaults(run=run_import)


def run_export(options: argparse.Namespace) -> int:
    writer, encoding = FORMS[options.form]
    text = writer(funga.load())
    if options.out is None:
        print(text, end="")
        return 0
    options.out.write_text(text, encoding=encoding, newline="\n")
    print(f"{options.out} is written.")
    return 0


def run_import(options: argparse.Namespace) -> int:
    """0 when the files are written, 1 after the mistakes: then nothing is."""
    filled = Filled(options.genus, options.family, options.order, options.region)
    try:
        plan = plan_import(options.file, options.into, filled=filled, beside=options.beside, replace=options.replace)
        praise = list(_praise(plan))
        if praise:
            raise funga.FungaError(praise)
    except funga.FungaError as error:
        _refuse(error)
        return 1
    write(plan)
    remarks = plan.concerning([*check(plan.known), *unseparated(plan.known)])
    for remark in remarks:
        print(remark)
    files = ", ".join(map(str, plan.texts))
    print(f"{len(plan.taxa)} taxa are written to {files}: {f'{len(remarks)} to mend' if remarks else 'clean'}.")
    if options.into.resolve() not in {folder.resolve() for folder in own_folders()}:
        named = os.pathsep.join(map(str, (*own_folders(), options.into)))
        print(f"To use them, start the desk and the terminal with {VARIABLE}={named}")
    return 0


def _refuse(error: funga.FungaError) -> None:
    for problem in error.problems[:MOST_SHOWN]:
        print(problem, file=sys.stderr)
    more = len(error.problems) - MOST_SHOWN
    print(f"{f'And {more} more. ' if more > 0 else ''}Nothing was written.", file=sys.stderr)


def _praise(plan: Plan) -> Iterator[funga.Problem]:
    """Texts of the clinic's own keep to what every text of ours keeps to: no word praises or clears for eating."""
    for table in plan.tables:
        taxon = table.taxon
        texts = [(f"what:{language}", language, words) for language, words in taxon.get("what", {}).items()]
        texts += [("perishes_note", "en", taxon.get("perishes_note", ""))]
        texts += [("taken_for", "en", pair.get("note", "")) for pair in taxon.get("taken_for", ())]
        names = (taxon["name"], *taxon.get("synonyms", ()))
        for column, language, words in texts:
            for banned in banned_words(words, language=language, names=names):
                told = f"“{banned.word}” may stand in no text here: none of them speaks of eating or clears a kind."
                yield plan.sheet.problem(table.row, column, told)
