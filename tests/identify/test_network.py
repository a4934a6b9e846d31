"""The posterior against a Bayesian network of an independent library (pyAgrum, exact inference by lazy propagation)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from bench.network import Network, network, roots
from numpy.typing import NDArray

from fruitbody.examine.finding import Finding
from fruitbody.identify.compile import model_of
from fruitbody.identify.likelihood import Evidence
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.tables import StateTable, mature
from tests.identify.findings import KNOWN

TAXA = 40
PARAMETERS = Parameters()
MODEL = model_of(KNOWN, PARAMETERS)
NAMES = [table.id for table in roots(MODEL)]


@pytest.fixture(scope="module")
def net() -> Network:
    return network(MODEL, TAXA, NAMES)


def said_of(rng: np.random.Generator, kind: int, count: int) -> dict[str, str]:
    """Reports that a diagnostician might give of a kind, misreadings included."""
    said = {}
    for name in rng.choice(NAMES, count, replace=False):
        table = MODEL.tables[str(name)]
        assert isinstance(table, StateTable)
        p = mature(table.p)[kind] @ table.readings["clinic"]
        said[str(name)] = table.states[int(rng.choice(len(table.states), p=p / p.sum()))]
    return said


def ours(said: dict[str, str]) -> NDArray[np.float64]:
    evidence = Evidence(MODEL, PARAMETERS)
    findings = [Finding(character, states=(state,)) for character, state in said.items()]
    evidence.add_all(sorted(findings, key=lambda finding: KNOWN.characters[finding.character].order))
    logs = evidence.log_ratio()[:TAXA]
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


@pytest.mark.parametrize("count", [1, 3, 6, len(NAMES)])
def test_the_posterior_equals_exact_inference_in_a_network_with_the_same_groups_that_fail(
    net: Network, count: int
) -> None:
    rng = np.random.default_rng(count)
    for kind in range(0, TAXA, 8):
        said = said_of(rng, kind, count)
        np.testing.assert_allclose(ours(said), net.posterior(said), rtol=1e-9, atol=1e-15)


def test_a_network_without_failing_groups_says_something_else(net: Network) -> None:
    """The check can fail: two reports of one group count for less together where the group may fail."""
    strict = network(replace(MODEL, failure={}), TAXA, NAMES)
    said = {"spore_shape": "round", "spore_ornament": "spiny"}
    assert np.abs(strict.posterior(said) - net.posterior(said)).max() > 1e-3
