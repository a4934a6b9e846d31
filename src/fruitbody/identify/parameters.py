"""The few shared numbers of the engine: start values as the design gives them, and the fitted ones in their place."""

from __future__ import annotations

import dataclasses
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

FIT = Path(__file__).parent / "data" / "fit.toml"


@dataclass(frozen=True, slots=True)
class Parameters:
    """All tunable numbers, each with its meaning. Probabilities 0..1 unless a unit is named.

    leak_two, leak_one, leak_memory: share of a score replaced by the background, by the basis of the entry
        (two or more published sources, one, from memory); leak_scale multiplies all three.
    leak_measure: the same for measures.
    slip_clinic, slip_finder: chance that a report has nothing to do with this fruit body at all.
    misread_clinic, misread_finder: factors on the characters' own slips, by observer.
    kappa: how much wider collections and authors vary than one stated range says.
    unstated_width: further widening of a range whose convention no source states.
    phi: share of a measure's variance that lies between collections.
    shared_state: chance that all fruit bodies of a kind show the same state of a character.
    group_failure: chance that a whole group of characters tells nothing of the taxon (age, weather).
    relative_blur: shifts how far an unlisted species of a genus departs from its known ones, character by character
        (`constancy`), on the logit scale: 0.3 leaves it as the funga has it; stranger_blur: the same of a stranger.
    spore_reading_um: standard reading uncertainty of one spore, µm; calibration: relative, common to L and W.
    finder_size: relative standard uncertainty of a finder's size without a reference.
    soft_trust: weight of soft evidence against no evidence.
    propose_at, cf_from, covered: thresholds of the proposal.
    danger_window_db: dangerous groups within this of the best are listed first.
    root_outside: prior mass of a stranger to every genus; species_outside: of one unlisted species of a genus,
        in units of a rare species' prior.
    """

    leak_two: float = 0.05
    leak_one: float = 0.10
    leak_memory: float = 0.15
    leak_scale: float = 1.0
    leak_measure: float = 0.05
    slip_clinic: float = 0.01
    slip_finder: float = 0.04
    misread_clinic: float = 1.0
    misread_finder: float = 1.0
    kappa: float = 1.3
    unstated_width: float = 1.1
    phi: float = 0.6
    shared_state: float = 0.6
    group_failure: float = 0.10
    relative_blur: float = 0.3
    stranger_blur: float = 0.3
    spore_reading_um: float = 0.10
    calibration: float = 0.010
    finder_size: float = 0.25
    soft_trust: float = 0.7
    propose_at: float = 0.8
    cf_from: float = 0.5
    covered: float = 0.5
    danger_window_db: float = 30.0
    root_outside: float = 0.03
    species_outside: float = 0.05


@lru_cache(maxsize=1)
def read_fit(path: Path = FIT) -> dict[str, Any]:
    """The last fit as `fruitbody fit` wrote it; {} where there is none."""
    return tomllib.loads(path.read_text(encoding="utf-8")) if path.exists() else {}


@lru_cache(maxsize=1)
def fitted() -> Parameters:
    """The parameters the engine uses: the fitted values, and start values for what is not fitted."""
    values = {name: float(value) for name, value in read_fit().get("values", {}).items()}
    return dataclasses.replace(Parameters(), **values)
