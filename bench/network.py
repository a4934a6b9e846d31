"""The same hypotheses as a Bayesian network of an independent library (pyAgrum): the speed of a peer, and a check.

One node for the kind, one for each group of characters that may fail together, one for each report. Exact inference by
the library gives what the engine computes by vectors.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyagrum as gum
from numpy.typing import NDArray

from fruitbody.identify.tables import Model, StateTable, mature

KIND = "kind"


@dataclass(frozen=True, slots=True)
class Network:
    """net: the network; states: report node -> its states in order."""

    net: gum.BayesNet
    states: dict[str, tuple[str, ...]]

    def posterior(self, said: dict[str, str]) -> NDArray[np.float64]:
        """P(kind | reports), [T], by exact inference."""
        engine = gum.LazyPropagation(self.net)
        engine.setEvidence({name: self.states[name].index(state) for name, state in said.items()})
        engine.makeInference()
        return np.asarray(engine.posterior(KIND).toarray(), dtype=np.float64)


def roots(model: Model) -> list[StateTable]:
    """Characters of states that hang on no other and do not differ by stage."""
    tables = [t for t in model.tables.values() if isinstance(t, StateTable)]
    return [t for t in tables if not t.parent and t.p.shape[0] == 1 and t.id not in model.children]


def network(model: Model, taxa: int, names: Sequence[str]) -> Network:
    """The first `taxa` kinds of a model, equally likely beforehand, and these characters, read by a diagnostician."""
    net = gum.BayesNet()
    net.add(gum.RangeVariable(KIND, "", 0, taxa - 1))
    net.cpt(KIND).fillWith([1 / taxa] * taxa)
    states: dict[str, tuple[str, ...]] = {}
    for name in names:
        table = model.tables[name]
        assert isinstance(table, StateTable)
        failed = f"group {table.group} failed"
        if failed not in net.names():
            chance = model.failure.get(table.group, 0.0)
            net.add(gum.RangeVariable(failed, "", 0, 1))
            net.cpt(failed).fillWith([1 - chance, chance])
        net.add(gum.RangeVariable(name, "", 0, len(table.states) - 1))
        net.addArc(KIND, name)
        net.addArc(failed, name)
        true, lost = mature(table.p)[:taxa] @ table.readings["clinic"], table.background @ table.readings["clinic"]
        for kind in range(taxa):
            net.cpt(name)[{KIND: kind, failed: 0}] = true[kind].tolist()
            net.cpt(name)[{KIND: kind, failed: 1}] = lost.tolist()
        states[name] = table.states
    return Network(net, states)
