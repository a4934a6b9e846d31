"""How good the detection is on drawn fields: what was accepted, against the truth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fruitbody.examine.spores.detection import Body
from fruitbody.examine.spores.micrograph import Lying, Micrograph

NEAR = 0.35
"""An accepted body belongs to the true one whose middle lies within this share of its width."""


@dataclass(frozen=True, slots=True)
class Score:
    """accepted: bodies; right: of them free, whole, sharp spores in side view, each once; countable: how many of these
    the field holds. length_um, width_um: measured minus true, mean over the right ones, against the outline as seen
    from above; whole: mean length of all accepted over the true mean length of the right ones, minus 1 (so tilt and
    wrong ones count); sd_um: scatter of single lengths."""

    accepted: int
    right: int
    countable: int
    length_um: float
    width_um: float
    whole: float
    sd_um: float

    @property
    def precision(self) -> float:
        return self.right / self.accepted if self.accepted else float("nan")

    @property
    def recall(self) -> float:
        return self.right / self.countable if self.countable else float("nan")


def score(bodies: Sequence[Body], drawn: Micrograph) -> Score:
    """Compare accepted bodies with the truth of a drawn field."""
    optics, focus = drawn.setting.optics, drawn.setting.focus_um
    pairs, taken = [], set()
    for body in bodies:
        i = _nearest(body, drawn.truth, optics.um_per_px)
        if i is not None and i not in taken and drawn.truth[i].countable(optics, focus):
            taken.add(i)
            pairs.append((body, drawn.truth[i]))
    countable = sum(lying.countable(optics, focus) for lying in drawn.truth)
    if not pairs:
        return Score(len(bodies), 0, countable, *(float("nan"),) * 4)
    um = optics.um_per_px
    length = np.array([b.length_px * um - t.pose.seen_length_um() for b, t in pairs])
    width = np.array([b.width_px * um - t.pose.width_um for b, t in pairs])
    true = float(np.mean([t.pose.length_um for _, t in pairs]))
    whole = float(np.mean([b.length_px * um for b in bodies])) / true - 1
    return Score(
        len(bodies), len(pairs), countable, float(length.mean()), float(width.mean()), whole, float(length.std())
    )


def _nearest(body: Body, truth: Sequence[Lying], um: float) -> int | None:
    if not truth:
        return None
    off = np.array([np.hypot(t.x - body.x, t.y - body.y) * um for t in truth])
    i = int(off.argmin())
    return i if off[i] < NEAR * truth[i].pose.width_um else None


def together(scores: Sequence[Score]) -> Score:
    """Several fields as one; means weighed by the right ones of each."""
    right = np.array([s.right for s in scores], dtype=np.float64)
    weight = right / max(right.sum(), 1)

    def mean(name: str) -> float:
        return float(np.sum([w * getattr(s, name) for w, s in zip(weight, scores, strict=True) if w > 0]))

    return Score(
        sum(s.accepted for s in scores), int(right.sum()), sum(s.countable for s in scores), mean("length_um"),
        mean("width_um"), mean("whole"), mean("sd_um"),
    )  # fmt: skip
