"""Weights of evidence in words; the number stays on demand."""

from __future__ import annotations

import math

DECIBANS = 10 / math.log(10)
"""Decibans per unit of natural log."""
STEPS = ((10.0, "speaks strongly for"), (3.0, "speaks for"), (-3.0, "says little"), (-10.0, "speaks against"))


def strength(decibans: float) -> str:
    """Words for a weight of evidence in decibans (10 dB: ten times likelier than under the background)."""
    for least, words in STEPS:
        if decibans >= least:
            return words
    return "speaks strongly against"
