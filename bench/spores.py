"""`python -m bench.spores`: precision of the accepted spores, and bias of length and width, over magnification,
defocus, crowding and contrast; and a plain scikit-image pipeline on the same fields in the same run, in time too.

Seeds differ from those on which the bounds were set.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from dataclasses import replace

import cv2

from bench.spores_peer import plain_pipeline
from fruitbody.examine.spores.accuracy import Score, score, together
from fruitbody.examine.spores.bodies import ALMOND, BROWN, HYALINE, STAINED, Look
from fruitbody.examine.spores.detection import detect
from fruitbody.examine.spores.errors import FieldError
from fruitbody.examine.spores.micrograph import Micrograph, Setting, draw
from fruitbody.examine.spores.optics import Optics

DRY_20 = Optics(0.2, 0.5)
DRY_40 = Optics(0.1, 0.75)
OIL_100 = Optics(0.06, 1.25, index=1.4)
SMALL = {"mean_um": (5.2, 3.6), "sd_um": (0.3, 0.2)}
ROUND = {"mean_um": (7.4, 7.0), "sd_um": (0.4, 0.35)}
SLENDER = {"mean_um": (13.0, 4.6), "sd_um": (0.9, 0.3)}

KINDS: tuple[tuple[str, Optics, Look, dict[str, tuple[float, float]]], ...] = (
    ("20×, hyaline 9.3 × 5.6 µm", DRY_20, HYALINE, {}),
    ("40×, hyaline 9.3 × 5.6 µm", DRY_40, HYALINE, {}),
    ("40×, brown 9.3 × 5.6 µm", DRY_40, BROWN, {}),
    ("40×, stained 5.2 × 3.6 µm", DRY_40, STAINED, SMALL),
    ("40×, brown, round 7.4 × 7.0 µm", DRY_40, BROWN, ROUND),
    ("40×, hyaline, slender 13 × 4.6 µm", DRY_40, HYALINE, SLENDER),
    ("40×, almond, warted 9.3 × 5.6 µm", DRY_40, ALMOND, {}),
    ("100× oil, hyaline 9.3 × 5.6 µm", OIL_100, HYALINE, {"defocus_um": 0.12}),  # type: ignore[dict-item]
    ("100× oil, brown 9.3 × 5.6 µm", OIL_100, BROWN, {"defocus_um": 0.12}),  # type: ignore[dict-item]
)


def measured(drawn: Micrograph) -> Score:
    try:
        return score(detect(drawn.picture, drawn.setting.optics.um_per_px).accepted, drawn)
    except FieldError:
        return score((), drawn)


def told(name: str, found: Score, mean_um: float) -> str:
    return (
        f"| {name} | {found.accepted} | {found.precision:.3f} | {found.recall:.2f} | {found.length_um:+.3f} "
        f"({found.length_um / mean_um:+.1%}) | {found.width_um:+.3f} | {found.whole:+.1%} | {found.sd_um:.3f} |"
    )


HEAD = (
    "accepted | precision | recall | length off, µm | width off, µm | mean length in all | scatter of one, µm |\n"
    "| --- | --- | --- | --- | --- | --- | --- | --- |"
)


def fields(setting: Setting, seeds: Sequence[int]) -> list[Micrograph]:
    return [draw(replace(setting, seed=seed)) for seed in seeds]


def by_kind(seeds: Sequence[int]) -> None:
    print(f"\n| magnification and spores | {HEAD}")
    ours, theirs = [], []
    for name, optics, look, more in KINDS:
        side = (2400, 1800) if optics is OIL_100 else (1600, 1200)
        setting = Setting(optics, side[0], side[1], look=look, **more)  # type: ignore[arg-type]
        drawn = fields(setting, seeds)
        found = together([measured(one) for one in drawn])
        other = together([score(plain_pipeline(one.picture), one) for one in drawn])
        ours.append(found)
        theirs.append(other)
        print(told(name, found, setting.mean_um[0]), told("· plain scikit-image", other, setting.mean_um[0]), sep="\n")
    print(told("all", together(ours), 9.3), told("· plain scikit-image", together(theirs), 9.3), sep="\n", flush=True)


def by_defocus(seed: int) -> None:
    """Free spores in the plane, all at one depth, in depths of field (n λ / NA²) from the sharpest."""
    shares = (-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5)
    for what in ("length_um", "width_um"):
        print(f"\n| {what[:-3]} off in µm, at depths of field from focus |", " | ".join(f"{s:+g}" for s in shares), "|")
        print("| --- |" + " --- |" * len(shares))
        for name, optics, look, _ in (KINDS[0], KINDS[1], KINDS[2], KINDS[7], KINDS[8]):
            bare = Setting(optics, look=look, spores=16, clumps=0, debris=0, bubbles=0, hyphae=0, defocus_um=0.0,
                           tilt_deg=0.0, stray=0.0, seed=seed)  # fmt: skip
            cells = []
            for share in shares:
                found = measured(draw(replace(bare, focus_um=share * optics.depth_um)))
                cells.append(f"{getattr(found, what):+.2f}" if found.right >= 3 else "set aside")
            print(f"| {name.rsplit(' ', 3)[0]} |", " | ".join(cells), "|", flush=True)


def by_trouble(seeds: Sequence[int]) -> None:
    print(f"\n| crowding, contrast, noise (40×, hyaline) | {HEAD}")
    pale = replace(HYALINE, wall_index=1.39, content_index=1.36, wall_density=(0.02, 0.02, 0.02))
    strong = replace(HYALINE, wall_index=1.52, content_index=1.42)
    base = Setting(DRY_40)
    cases = {
        "15 spores": replace(base, spores=15, clumps=1),
        "60 strewn anywhere": replace(base, spores=60, clumps=0, hyphae=1, anywhere=True),
        "120 strewn anywhere": replace(base, spores=120, clumps=0, hyphae=1, anywhere=True),
        "200 strewn anywhere": replace(base, spores=200, clumps=0, hyphae=1, anywhere=True),
        "low contrast": replace(base, look=pale),
        "high contrast": replace(base, look=strong), "noise 4 %": replace(base, noise=0.04),
        "light uneven by half": replace(base, gradient=0.5), "much debris": replace(base, debris=25, hyphae=4),
    }  # fmt: skip
    for name, setting in cases.items():
        found = together([measured(one) for one in fields(setting, seeds)])
        print(told(name, found, setting.mean_um[0]), flush=True)


def speed() -> None:
    """One core, 12 megapixels, 300 spores."""
    setting = Setting(DRY_40, 4000, 3000, spores=300, clumps=10, debris=15, bubbles=4, hyphae=6, seed=205)
    drawn = draw(setting)
    cv2.setNumThreads(1)
    times = {}
    for name, work in (("ours", lambda: detect(drawn.picture, 0.1)), ("plain", lambda: plain_pipeline(drawn.picture))):
        work()
        before = time.process_time()
        work()
        times[name] = time.process_time() - before
    ours, plain = times["ours"], times["plain"]
    print(f"\n12 megapixels, 300 spores, processor time on one core: ours {ours:.2f} s (target 2 s), ", end="")
    print(f"plain scikit-image {plain:.2f} s, ours : plain {ours / plain:.2f}")
    found, other = measured(drawn), score(plain_pipeline(drawn.picture), drawn)
    print(f"| the same field | {HEAD}\n{told('ours', found, 9.3)}\n{told('plain scikit-image', other, 9.3)}")


def main() -> None:
    seeds = (201,) if "--quick" in sys.argv else (201, 202, 203)
    speed()
    by_kind(seeds)
    by_defocus(204)
    by_trouble(seeds[:2])


if __name__ == "__main__":
    main()
