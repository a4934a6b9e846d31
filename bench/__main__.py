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
SIZES = (300, 2_000, 20_000)


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


def memory_mb() -> float:
    """The most memory this process has held so far, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    before = time.perf_counter()
    known = funga.load()
    print(f"loading the funga from its files: {(time.perf_counter() - before) * 1000:.0f} ms, {len(known.taxa)} taxa")
    print(f"{FINDINGS} findings; median of repeated calls, one process")
    ours: dict[int, tuple[float, float]] = {}
    for size in SIZES:
        large = generated_funga(known, size)
        case = Case(findings_of(large, large.taxa["t7"], FINDINGS), month=9, region="US-NY")
        whole = milliseconds(lambda large=large, case=case: identify(large, case, most=20))
        ours[size] = whole, milliseconds(rank_only(large, case))
        print(f"  {size:6} taxa: whole answer {whole:8.2f} ms, ranking alone {ours[size][1]:7.2f} ms", flush=True)
    print(f"memory at the most, without the peers: {memory_mb():.0f} MB")
    for size, (_, alone) in ours.items():
        other = milliseconds(peer(size))
        print(f"  {size:6} taxa: CategoricalNB {other:7.2f} ms, ranking : peer {alone / other:6.2f}", flush=True)


if __name__ == "__main__":
    main()
