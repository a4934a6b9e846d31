"""`python -m bench.photos`: the coverage test of lengths from photos over rendered scenes, and the speed of measuring.

python -m bench.photos --scenes 2000 --jobs 2
python -m bench.photos --speed PHOTO.jpg
"""

from __future__ import annotations

import argparse
import io
import resource
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import cv2
from PIL import Image

from fruitbody.examine.photo.measure import measure
from fruitbody.examine.photo.picture import open_picture
from fruitbody.examine.photo.trial import Row, one_scene
from fruitbody.examine.photo.trial_summary import as_text, summary

SEED = 20261125


def _one(job: tuple[int, int]) -> Row:
    import numpy as np

    cv2.setNumThreads(1)
    seed, n = job
    return one_scene(n, np.random.default_rng([seed, n]))


def trial(scenes: int, seed: int, jobs: int) -> list[Row]:
    """The rows of `photo_trial`, shared out over processes."""
    rows: list[Row] = []
    with ProcessPoolExecutor(jobs) as pool:
        for row in pool.map(_one, [(seed, n) for n in range(scenes)], chunksize=8):
            rows.append(row)
            if len(rows) % 100 == 0:
                print(f"{len(rows)} of {scenes} scenes", file=sys.stderr, flush=True)
            if len(rows) % 500 == 0 and len(rows) < scenes:
                print(as_text(summary(rows)), file=sys.stderr, flush=True)
    return rows


def speed(path: Path) -> None:
    """Processor time from the file's bytes to everything, against bare decoding of the same bytes, one core."""
    cv2.setNumThreads(1)
    data = path.read_bytes()

    def decode() -> None:
        Image.open(io.BytesIO(data)).load()

    def least(work: object) -> float:
        assert callable(work)
        work()
        times = []
        for _ in range(5):
            start = time.process_time()
            work()
            times.append(time.process_time() - start)
        return 1000 * min(times)

    bare = least(decode)
    print(f"bare decode {bare:.0f} ms")
    for reference in ("us-quarter", "auto"):
        whole = least(lambda reference=reference: measure(open_picture(data), reference=reference))
        print(f"measured with {reference}: {whole:.0f} ms, {whole / bare:.1f} x bare decode (target 6)")
    print(f"memory at the most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB (target 400)")


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m bench.photos", description=__doc__.split("\n")[0])
    parser.add_argument("--scenes", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--speed", type=Path, default=None, metavar="PHOTO")
    options = parser.parse_args()
    if options.speed is not None:
        speed(options.speed)
        return
    start = time.perf_counter()
    rows = trial(options.scenes, options.seed, options.jobs)
    print(as_text(summary(rows)))
    reasons = sorted({r.why for r in rows if r.why}, key=lambda w: -sum(r.why == w for r in rows))
    for words in reasons[:8]:
        print(f"refused {sum(r.why == words for r in rows)} times: {words[:110]}")
    print(f"{time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
