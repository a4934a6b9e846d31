"""A funga that loads in a moment: every vocabulary of ours, and of the taxa one genus."""

from __future__ import annotations

import shutil
from pathlib import Path

from fruitbody.funga.load import DATA


def small_funga(folder: Path) -> Path:
    """A copy of our data with *Amanita* alone. Returns its folder."""
    copy = folder / "data"
    shutil.copytree(DATA, copy)
    for path in (copy / "taxa").glob("*.toml"):
        if path.name != "amanita.toml":
            path.unlink()
    return copy
