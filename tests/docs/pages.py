"""Reading the project's own pages: sections and tables."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md")])


def page(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


def section(text: str, heading: str) -> str:
    """From the heading that contains these words to the next of the same level."""
    found = re.search(rf"^(#+) [^\n]*{re.escape(heading)}.*?(?=^\1 |\Z)", text, re.MULTILINE | re.DOTALL)
    assert found, heading
    return found.group()


def rows(text: str) -> list[list[str]]:
    """The cells of every table row, without bold and with plain minus signs."""
    lines = [line for line in text.splitlines() if line.startswith("| ")]
    return [[c.strip().strip("*").replace("−", "-") for c in line.strip("|").split("|")] for line in lines]


def row(text: str, first: str) -> list[float]:
    """The numbers of the table row that begins with this cell."""
    (cells,) = [cells for cells in rows(text) if cells[0] == first]
    return [float(c) for c in cells[1:] if c]
