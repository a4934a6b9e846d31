"""What a colour is called: ISCC–NBS names at three levels, and the names of Ridgway 1912 that mycologists still cite.

ISCC–NBS: K. L. Kelly and D. B. Judd 1976, *Color: Universal Language and Dictionary of Names*, NBS Special Publication
440: 13 names at level one, 29 at level two, 267 at level three, grouped as published. A colour takes the name of the
nearest centroid by CIEDE2000. That is not quite the published rule, whose blocks have edges in the Munsell system; near
an edge the neighbour's name may hold, so neighbours are given too.

Ridgway: R. Ridgway 1912, *Color Standards and Color Nomenclature*. No measured values of its plates are used: a name
lies where the ISCC–NBS classes lie that SP 440 lists for it, at their mean if there are several. Names of one class
cannot be told apart by number; the plate decides.

Where the values come from: docs/sources.md.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np
import numpy.typing as npt

from fruitbody.examine.colour.ciede2000 import difference
from fruitbody.examine.colour.spaces import Floats, lab_of_srgb, parse_hex

TABLES: Final = Path(__file__).parent / "tables"
EDITION: Final = "Ridgway 1912"
_TIE: Final = 1e-9


@dataclass(frozen=True, slots=True)
class ClassName:
    """An ISCC–NBS class of level three with those above it. number: 1..267; lab: its centroid."""

    number: int
    level1: str
    level2: str
    level3: str
    lab: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class RidgwayName:
    """A name of Ridgway 1912. places: plate, hue and tone as he writes them ("XXIX 15''k"; several where a name is
    numbered); classes: ISCC–NBS numbers, empty where SP 440 does not list the name."""

    name: str
    places: tuple[str, ...]
    classes: tuple[int, ...]

    @property
    def plates(self) -> tuple[str, ...]:
        """Numbers of the plates, each once."""
        return tuple(dict.fromkeys(place.split()[0] for place in self.places))


@lru_cache(maxsize=1)
def classes() -> tuple[ClassName, ...]:
    """All 267, by number."""
    return tuple(
        ClassName(int(row["number"]), row["level1"], row["level2"], row["level3"], _lab(row["srgb"]))
        for row in _rows("iscc_nbs.csv")
    )


@lru_cache(maxsize=1)
def ridgway() -> tuple[RidgwayName, ...]:
    """All names of Ridgway 1912, in alphabetical order."""
    return tuple(
        RidgwayName(
            row["name"],
            tuple(filter(None, row["places"].split(";"))),
            tuple(map(int, filter(None, row["classes"].split(";")))),
        )
        for row in _rows("ridgway_1912.csv")
    )


def nearest_classes(lab: npt.ArrayLike, n: int = 4) -> tuple[tuple[ClassName, float], ...]:
    """The n classes whose centroids look nearest to one CIELAB colour, nearest first, each with its ΔE00."""
    far = difference(np.asarray(lab, dtype=np.float64), _centroids())
    return tuple((classes()[k], float(far[k])) for k in np.argsort(far, kind="stable")[:n])


def nearest_ridgway(lab: npt.ArrayLike, *, at_least: int = 3, most: int = 12) -> tuple[tuple[RidgwayName, float], ...]:
    """The nearest names of Ridgway 1912, each with its ΔE00. Where more than `at_least` are equally near, all of
    them up to `most`."""
    names, centres = _placed()
    far = difference(np.asarray(lab, dtype=np.float64), centres)
    order = np.argsort(far, kind="stable")
    as_near = int((far <= far[order[0]] + _TIE).sum())
    return tuple((names[k], float(far[k])) for k in order[: min(max(at_least, as_near), most)])


def find_ridgway(text: str) -> RidgwayName | None:
    """A name of Ridgway 1912 in any case, with gray or grey, color or colour, hyphen or space; None if he has none."""
    return _by_key().get(_key(text))


def _key(text: str) -> str:
    plain = text.lower().replace("grey", "gray").replace("colour", "color").replace("ochre", "ocher")
    return "".join(c for c in plain if c.isalpha())


def _lab(code: str) -> tuple[float, float, float]:
    lightness, a, b = lab_of_srgb(parse_hex(code))
    return float(lightness), float(a), float(b)


def _rows(name: str) -> list[dict[str, str]]:
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@lru_cache(maxsize=1)
def _centroids() -> Floats:
    return np.array([one.lab for one in classes()])


@lru_cache(maxsize=1)
def _placed() -> tuple[tuple[RidgwayName, ...], Floats]:
    """The names that SP 440 lists, and the mean of the centroids of each."""
    names = tuple(name for name in ridgway() if name.classes)
    return names, np.array([_centroids()[np.array(name.classes) - 1].mean(axis=0) for name in names])


@lru_cache(maxsize=1)
def _by_key() -> dict[str, RidgwayName]:
    return {_key(name.name): name for name in ridgway()}
