"""From a measured colour to soft evidence over the funga's plain colours, and over the colours of spore prints.

Each class is a normal density about its centre; the doubt of the measurement is added to its spread. The shares are
those of the densities alone, every class alike beforehand: they were trained on nothing. So a finding carries even
shares as `trained_on`, and the engine, which divides by these, sees the densities as they are (docs/identify.md §2).
There the evidence is further weakened by `soft_trust`, so that it stays below a trained eye's word; and soft evidence
never rules anything out.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from fruitbody.examine.colour.names import TABLES
from fruitbody.examine.colour.patch import Measured
from fruitbody.examine.colour.spaces import ColourError, Floats, Lab
from fruitbody.examine.finding import Soft
from fruitbody.funga.model import Character

DEPOSIT: Final = "deposit_colour"
STRANGE: Final = 3.4
"""Distance in standard deviations (three axes: 1 in 100 is farther) from which a colour fits no class well."""


@dataclass(frozen=True, slots=True)
class Plain:
    """Shares over the classes, adding up to 1, largest first; distance: to the best one, in standard deviations."""

    shares: Mapping[str, float]
    distance: float

    @property
    def best(self) -> str:
        """The class with the largest share."""
        return next(iter(self.shares))

    @property
    def fits(self) -> bool:
        """Whether the colour lies within its best class at all."""
        return self.distance < STRANGE

    @property
    def soft(self) -> Soft:
        """The evidence as a finding takes it."""
        even = 1 / len(self.shares)
        return Soft(shares=dict(self.shares), trained_on=dict.fromkeys(self.shares, even))


@dataclass(frozen=True, slots=True)
class _Class:
    id: str
    lab: Lab
    spread: Lab


def plain_of(character: Character, lab: Lab, covariance: npt.ArrayLike | None = None) -> Plain:
    """Shares over the states of a colour character of the funga, or over those of the deposit.

    covariance: of the measured value, (3, 3); None for one without doubt. Raises ColourError for other characters.
    """
    return _plain(_classes(character), lab, np.zeros((3, 3)) if covariance is None else np.asarray(covariance))


def soft_of(character: Character, measured: Measured) -> Soft:
    """A photo's colour as a finding on this character takes it.

    Where the funga gives its states colours: the value and its doubt (`Soft.lab`), which the engine compares itself.
    Of a spore print: shares, since `deposit_colour` has no colours in the funga. Raises ColourError as `plain_of`.
    """
    if character.id == DEPOSIT:
        return plain_of(character, measured.lab, measured.covariance).soft
    _classes(character)
    return Soft(lab=measured.lab, lab_uncertainty=measured.u)


def _plain(classes: Sequence[_Class], lab: Lab, covariance: Floats) -> Plain:
    wide = np.array([np.diag(np.square(one.spread)) + covariance for one in classes])
    off = np.array([np.subtract(lab, one.lab) for one in classes])
    square = np.einsum("ni,nij,nj->n", off, np.linalg.inv(wide), off)
    log = -0.5 * (square + np.linalg.slogdet(wide)[1])
    shares = np.exp(log - log.max())
    shares /= shares.sum()
    order = np.argsort(-shares, kind="stable")
    return Plain({classes[k].id: float(shares[k]) for k in order}, float(np.sqrt(square[order[0]])))


def _classes(character: Character) -> tuple[_Class, ...]:
    if character.id == DEPOSIT:
        return tuple(_Class(state, *print_colours()[state]) for state in character.state_ids)
    found = tuple(_Class(s.id, s.lab, s.spread) for s in character.states if s.lab and s.spread)
    if not found or len(found) < len(character.states):
        raise ColourError(f"The states of “{character.plain}” are no colours, so a measured colour says nothing of it.")
    return found


@lru_cache(maxsize=1)
def print_colours() -> dict[str, tuple[Lab, Lab]]:
    """Centre and spread of each print colour."""
    table = tomllib.loads((TABLES / "deposit.toml").read_text(encoding="utf-8"))
    return {state: (tuple(entry["lab"]), tuple(entry["spread"])) for state, entry in table.items()}
