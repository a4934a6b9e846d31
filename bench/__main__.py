"""`make bench`: loading and ranking, each with its ratio to a peer measured in the same run, and memory.

Peers: scikit-learn's CategoricalNB for ranking alone, pyAgrum's exact inference for a subset that both can hold.
"""

from __future__ import annotations

import gc
import resource
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from sklearn.naive_bayes import CategoricalNB

from bench.generate import findings_of, generated_funga
from bench.network import network, roots
from fruitbody import funga
from fruitbody.examine.finding import Finding
from fruitbody.funga.kept import keep, kept
from fruitbody.funga.load import DATA, load_from
from fruitbody.identify import Case, Parameters, identify
from fruitbody.identify.compile import compile_model, model_of
from fruitbody.identify.likelihood import Evidence
from fruitbody.identify.tables import StateTable

FINDINGS = 20
SIZES = (2_000, 20_000)
SUBSET = 40


@dataclass(frozen=True, slots=True)
class Timed:
    """ms of the whole answer and of ranking alone, over so many taxa; memory: MB of the process after it."""

    name: str
    taxa: int
    whole: float
    alone: float
    memory: float


def milliseconds(work: Callable[[], object], *, least_s: float = 0.5) -> float:
    """The median time of one call in ms, after one call to warm up."""
    work()
    times: list[float] = []
    start = time.perf_counter()
    while len(times) < 5 or time.perf_counter() - start < least_s:
        before = time.perf_counter()
        work()
        times.append(time.perf_counter() - before)
    return float(np.median(times)) * 1000


def rank_only(known: funga.Funga, findings: tuple[Finding, ...]) -> Callable[[], object]:
    """Ranking alone, without reasons or what to look at next: one likelihood over all taxa."""
    parameters = Parameters()
    model = model_of(known, parameters)
    ordered = sorted(findings, key=lambda finding: known.characters[finding.character].order)

    def work() -> object:
        evidence = Evidence(model, parameters)
        evidence.add_all(ordered)
        return evidence.log_ratio()

    return work


def peer(size: int) -> Callable[[], object]:
    """CategoricalNB over as many classes and 20 features of 6 levels."""
    rng = np.random.default_rng(3)
    x = rng.integers(0, 6, (size * 2, FINDINGS))
    y = np.repeat(np.arange(size), 2)
    model = CategoricalNB(min_categories=6).fit(x, y)
    row = x[:1]
    return lambda: model.predict_log_proba(row)


def memory_mb() -> float:
    """The most memory this process has held so far, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def loading() -> None:
    """Reading the files against the kept form of the same funga."""
    known = load_from(DATA)
    keep(known)
    read = milliseconds(lambda: load_from(DATA))
    again = milliseconds(lambda: kept(known.digest))
    compiled = milliseconds(lambda: compile_model(known, Parameters()))
    print(f"loading {len(known.taxa)} taxa: from the files {read:.0f} ms, from the kept form {again:.0f} ms", end="")
    print(f" ({again / read:.2f} of it; target 150 ms); compiling the arrays {compiled:.0f} ms")


def timed(name: str, known: funga.Funga, taxon: str) -> Timed:
    """One funga, asked with 20 findings of one of its taxa."""
    findings = findings_of(known, known.taxa[taxon], FINDINGS)
    case = Case(findings, month=9, region="US-NY")
    whole = milliseconds(lambda: identify(known, case, most=20))
    alone = milliseconds(rank_only(known, findings))
    found = Timed(name, len(known.taxa), whole, alone, memory_mb())
    print(
        f"  {name:10} {found.taxa:6} taxa: whole answer {whole:8.2f} ms, ranking alone {alone:8.2f} ms,"
        f" memory at the most {found.memory:5.0f} MB",
        flush=True,
    )
    return found


def against_naive_bayes(ours: list[Timed]) -> None:
    print("ranking alone against scikit-learn's CategoricalNB (below 1: ours is faster)")
    for one in ours:
        gc.collect()
        other = milliseconds(peer(one.taxa))
        print(f"  {one.taxa:6} taxa: theirs {other:8.2f} ms, ours : theirs {one.alone / other:6.2f}", flush=True)


def against_a_network(known: funga.Funga) -> None:
    """The same reports of the same kinds: exact inference by pyAgrum against ours over the whole funga."""
    parameters = Parameters()
    model = model_of(known, parameters)
    names = [table.id for table in roots(model)]
    net = network(model, SUBSET, names)
    said = {}
    for name in names:
        table = model.tables[name]
        assert isinstance(table, StateTable)
        said[name] = table.states[int(np.argmax(table.background))]
    findings = tuple(Finding(name, states=(state,)) for name, state in said.items())
    theirs, ours = milliseconds(lambda: net.posterior(said)), milliseconds(rank_only(known, findings))
    print(f"{len(names)} reports against pyAgrum: theirs over {SUBSET} kinds {theirs:.2f} ms,", end=" ")
    print(f"ours over {len(known.taxa)} kinds {ours:.2f} ms, ours : theirs {ours / theirs:.2f}")


def main() -> None:
    loading()
    known = funga.load()
    print(f"{FINDINGS} findings; median of repeated calls, one process")
    ours = [timed("this funga", known, next(iter(known.taxa)))]
    ours += [timed("generated", generated_funga(known, size), "t7") for size in SIZES]
    against_a_network(known)
    against_naive_bayes(ours)


if __name__ == "__main__":
    main()
