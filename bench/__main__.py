"""`make bench`: ranking over generated fungas, against scikit-learn's CategoricalNB in the same run."""

from __future__ import annotations

import resource
import time
from collections.abc import Callable

import numpy as np
from sklearn.naive_bayes import CategoricalNB

from bench.generate import findings_of, generated_funga
from fruitbody import funga
from fruitbody.identify import Case, Parameters, identify
from fruitbody.identify.compile import model_of
from fruitbody.identify.likelihood import Evidence

FINDINGS = 20


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


def rank_only(known: funga.Funga, case: Case) -> Callable[[], object]:
    """Ranking alone, without reasons or what to look at next: one likelihood over all taxa."""
    parameters = Parameters()
    model = model_of(known, parameters)

    def work() -> object:
        evidence = Evidence(model, parameters)
        evidence.add_all(sorted(case.findings, key=lambda f: known.characters[f.character].order))
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


def main() -> None:
    known = funga.load()
    print(f"{len(known.taxa)} taxa in the funga; {FINDINGS} findings; median of repeated calls, one process")
    print(f"{'taxa':>7} {'whole answer':>14} {'ranking alone':>14} {'CategoricalNB':>14} {'ranking : peer':>15}")
    for size in (300, 2_000, 20_000):
        large = generated_funga(known, size)
        case = Case(findings_of(large, large.taxa["t7"], FINDINGS), month=9, region="US-NY")
        whole = milliseconds(lambda large=large, case=case: identify(large, case, most=20))
        alone = milliseconds(rank_only(large, case))
        other = milliseconds(peer(size))
        print(f"{size:7} {whole:11.2f} ms {alone:11.2f} ms {other:11.2f} ms {alone / other:15.2f}")
    before = time.perf_counter()
    funga.load.cache_clear()
    funga.load()
    print(f"loading the funga from its files: {(time.perf_counter() - before) * 1000:.0f} ms")
    print(f"memory at the most: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
