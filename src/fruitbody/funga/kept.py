"""The funga in a form that loads in a moment, kept between runs under the digest of everything it was made from.

Reading the TOML files takes a second; the kept form a few hundredths. It lies in the user's own cache folder
($XDG_CACHE_HOME, else ~/.cache), like compiled Python, and may be deleted at any time. FRUITBODY_CACHE names another
folder; an empty one keeps nothing.
"""

from __future__ import annotations

import gc
import hashlib
import os
import pickle
import sys
import tempfile
from pathlib import Path

from fruitbody.funga.files import own_files
from fruitbody.funga.model import Funga

CODE = Path(__file__).parent
SPOILT = (OSError, pickle.UnpicklingError, EOFError, AttributeError, ImportError, IndexError, TypeError, ValueError)
MOST_KEPT = 4


def digest_of(folder: Path, *own: Path) -> str:
    """SHA-256 over names and bytes of all data files: which funga a result was computed with.

    own: folders of a clinic's own, read on top; without any the digest is that of our files alone.
    """
    digest = hashlib.sha256()
    for path in sorted(folder.rglob("*.toml")):
        digest.update(path.relative_to(folder).as_posix().encode())
        digest.update(path.read_bytes())
    for path in [path for one in own for path in own_files(one)]:
        digest.update(f"own {path.parent.name}/{path.name}".encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def kept(digest: str) -> Funga | None:
    """The funga kept under this digest by this very code and Python, or None."""
    place = _place(digest)
    if place is None:
        return None
    # The collector would walk every half-made object over and over; nothing here makes cycles.
    collecting = gc.isenabled()
    gc.disable()
    try:
        found = pickle.loads(place.read_bytes())
    except SPOILT:
        return None
    finally:
        if collecting:
            gc.enable()
    return found if isinstance(found, Funga) and found.digest == digest else None


def keep(funga: Funga) -> None:
    """Keep a funga for the next run. Where the folder cannot be written nothing is kept, and nothing is lost."""
    place = _place(funga.digest)
    if place is None:
        return
    try:
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with tempfile.NamedTemporaryFile(dir=place.parent, delete=False) as half:
            pickle.dump(funga, half, protocol=pickle.HIGHEST_PROTOCOL)
        Path(half.name).replace(place)
        older = sorted(place.parent.glob("funga-*"), key=lambda path: path.stat().st_mtime, reverse=True)
        for path in older[MOST_KEPT:]:
            path.unlink(missing_ok=True)
    except OSError:
        return


def _place(digest: str) -> Path | None:
    named = os.environ.get("FRUITBODY_CACHE")
    if named == "":
        return None
    folder = Path(named) if named else Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "fruitbody"
    return folder / f"funga-{_key(digest)}"


def _key(digest: str) -> str:
    """Of the data, of the code that reads them, and of the Python that keeps them."""
    key = hashlib.sha256(f"{digest} {sys.version}".encode())
    for path in sorted(CODE.glob("*.py")):
        key.update(path.read_bytes())
    return key.hexdigest()[:32]
