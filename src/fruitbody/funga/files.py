"""Which files are read: ours, and beside them the folders of a clinic that keeps taxa of its own.

A clinic's folder holds `taxa/GENUS.toml` and, for sources of its own, `sources/*.toml`. The environment variable
FRUITBODY_FUNGA names such folders, with the separator of PATH between two of them.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path

from fruitbody.funga.problems import Problem
from fruitbody.funga.reading import Table

VARIABLE = "FRUITBODY_FUNGA"
PARTS = ("taxa", "sources")
"""What a clinic's own folder may hold."""


def own_folders() -> tuple[Path, ...]:
    """The folders that FRUITBODY_FUNGA names, in its order; usually none."""
    return tuple(Path(name) for name in os.environ.get(VARIABLE, "").split(os.pathsep) if name.strip())


def read_files(folder: Path, problems: list[Problem]) -> dict[str, Table]:
    """Every TOML file of our folder by its path within it."""
    files: dict[str, Table] = {}
    for path in sorted(folder.rglob("*.toml")):
        name = path.relative_to(folder).as_posix()
        table = read_file(path, name, problems)
        if table is not None:
            files[name] = table
    return files


def read_own(folders: Iterable[Path], problems: list[Problem]) -> dict[str, Table]:
    """Every taxon and source file of a clinic's folders by its whole path, so that mistakes are named with it."""
    files: dict[str, Table] = {}
    for folder in folders:
        if not any((folder / part).is_dir() for part in PARTS):
            words = "it holds neither taxa/ nor sources/." if folder.is_dir() else "there is no such folder."
            problems.append(
                Problem(str(folder), "", f"{words} Mend {VARIABLE}, or fill it by `fruitbody funga import`.")
            )
        for path in own_files(folder):
            table = read_file(path, str(path), problems)
            if table is not None:
                files[str(path)] = table
    return files


def own_files(folder: Path) -> list[Path]:
    """The files of a clinic's folder that are read, in the order in which they are."""
    return [path for part in PARTS for path in sorted((folder / part).glob("*.toml"))]


def read_file(path: Path, name: str, problems: list[Problem]) -> Table | None:
    """One TOML file, or None with a problem under this name."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        problems.append(Problem(name, "", f"the file cannot be read as TOML: {error}."))
        return None


def part_of(files: Mapping[str, Table], part: str) -> dict[str, Table]:
    """The files that lie in a folder of this name."""
    return {name: table for name, table in files.items() if Path(name).parent.name == part}
