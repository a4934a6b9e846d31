"""The tree of characters against brute force: every true state and every failing group enumerated one by one.

The enumeration knows nothing of factors, ratios or patterns; it sums over all worlds."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fruitbody.examine.finding import Finding, Observer
from fruitbody.identify.likelihood import Evidence
from fruitbody.identify.parameters import Parameters
from fruitbody.identify.reports import state_report
from fruitbody.identify.tables import Model, StateTable

# name, group, parent, enabling states, number of states
TREE = (
    ("form", "form", "", (), 3),
    ("under", "under", "form", (0, 1), 3),
    ("gill", "under", "under", (0,), 2),
    ("pore", "pore", "under", (1, 2), 3),
    ("cap", "cap", "form", (0,), 2),
    ("size", "cap", "form", (0, 2), 2),
    ("smell", "smell", "", (), 3),
    ("taste", "smell", "", (), 2),
)
FAILURE = 0.17


def build(seed: int) -> Model:
    rng = np.random.default_rng(seed)
    sizes = {name: size for name, _, _, _, size in TREE}
    tables = {}
    for order, (name, group, parent, enabled, size) in enumerate(TREE):
        background = rng.dirichlet(np.ones(size))
        p = np.vstack([rng.dirichlet(np.ones(size), 2), background])[None]
        tables[name] = StateTable(
            id=name,
            group=group,
            order=order,
            states=tuple(f"s{i}" for i in range(size)),
            p=p,
            background=background,
            readings={"clinic": rng.dirichlet(np.ones(size), size), "finder": rng.dirichlet(np.ones(size), size)},
            not_applicable=rng.dirichlet(np.ones(size)),
            known=np.ones(3, dtype=bool),
            parent=parent,
            enabled=np.array([i in enabled for i in range(sizes[parent])]) if parent else np.zeros(0, dtype=bool),
        )
    children = {n: tuple(c for c, _, p, _, _ in TREE if p == n) for n in sizes}
    failure = {group: FAILURE for _, group, _, _, _ in TREE}
    return Model(
        tables, ("t0", "t1", "reference"), 2, np.full(3, 0.5), failure, {}, {k: v for k, v in children.items() if v}
    )


def enumerate_worlds(model: Model, found: list[Finding], row: int) -> float:
    """Σ over group failures and true states of P(world) × P(reports | world)."""
    reports = {
        n: [state_report(model.tables[n], f, soft_trust=1) for f in found if f.character == n] for n in model.tables
    }
    instance = {}
    for name, group, parent, _, _ in TREE:
        same = parent and {n: g for n, g, *_ in TREE}[parent] == group
        instance[name] = instance[parent] if same else (parent, group)
    told = {f.character for f in found}
    flags = sorted({i for name, i in instance.items() if name in told})
    total = 0.0
    for failed in itertools.product((False, True), repeat=len(flags)):
        down = dict(zip(flags, failed, strict=True))
        weight = np.prod([FAILURE if f else 1 - FAILURE for f in failed])
        total += weight * _states(model, reports, row, {n: down[instance[n]] for n in told})
    return float(total)


def _states(model: Model, reports: dict, row: int, failed: dict[str, bool]) -> float:
    """Characters nobody spoke of sum to 1 and are left out; the parents of those told are always told."""
    total = 0.0
    tree = [entry for entry in TREE if entry[0] in failed]
    for world in itertools.product(*(range(size) for *_, size in tree)):
        truth = dict(zip((name for name, *_ in tree), world, strict=True))
        applies: dict[str, bool] = {}
        p = 1.0
        for name, _, parent, enabled, _ in tree:
            applies[name] = not parent or (applies[parent] and truth[parent] in enabled)
            table = model.tables[name]
            if not applies[name]:
                # Its state means nothing then: counted once, and its reports are what people say in that case.
                p *= (truth[name] == 0) * np.prod([r.na for r in reports[name]])
                continue
            share = table.background if failed[name] else table.p[0, row]
            p *= share[truth[name]] * np.prod([r.r[truth[name]] for r in reports[name]])
        total += p
    return total


@st.composite
def reports(draw: st.DrawFn) -> list[Finding]:
    """Reports with every parent of a reported child reported too, so that nothing is implied."""
    names = draw(st.lists(st.sampled_from([name for name, *_ in TREE]), min_size=1, max_size=4))
    parents = {name: parent for name, _, parent, _, _ in TREE}
    for name in list(names):
        while parents[name]:
            name = parents[name]
            names.append(name)
    found = []
    for name in names:
        size = next(s for n, *_, s in TREE if n == name)
        states = tuple(f"s{i}" for i in draw(st.sets(st.integers(0, size - 1), min_size=1, max_size=size - 1)))
        who = draw(st.sampled_from([Observer.FINDER, Observer.DIAGNOSTICIAN]))
        found.append(Finding(name, states=states, negated=False, by=who))
    order = [name for name, *_ in TREE]
    return sorted(found, key=lambda f: order.index(f.character))


@given(st.integers(0, 50), reports())
def test_the_tree_equals_the_sum_over_all_worlds(seed: int, found: list[Finding]) -> None:
    model = build(seed)
    evidence = Evidence(model, Parameters())
    for finding in found:
        evidence.add(finding)
    worlds = [enumerate_worlds(model, found, row) for row in range(3)]
    expected = np.log(np.array(worlds) / worlds[-1])
    assert evidence.log_ratio() == pytest.approx(expected, abs=1e-9)
    at_once = Evidence(model, Parameters())
    at_once.add_all(found)
    assert at_once.log_ratio() == pytest.approx(expected, abs=1e-9)
