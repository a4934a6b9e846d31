"""Spore sizes as in the literature: [a/b/c] (k–) m–n (–p) (Tulloss and Lindgren 2005, Mycotaxon 91: 193–194)."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from fruitbody.examine.spores.statistics import BodyMeans, Spread, Summary

PLACES = {"µm": 1, "px": 1, "ratio": 2}
"""Decimal places in which sizes and ratios are told."""


def counted(summary: Summary) -> str:
    """'[60/3/2]': spores, fruit bodies, collections."""
    return f"[{summary.n}/{summary.fruit_bodies}/{summary.collections}]"


def bracketed(spread: Spread, *, places: int) -> str:
    """'(7.1–) 8.0–10.0 (–10.9)': extremes round the 5th and 95th percentile, each left out when equal as printed."""
    low, high = told(spread.p5, places), told(spread.p95, places)
    least, most = told(spread.min, places), told(spread.max, places)
    inner = low if low == high else f"{low}–{high}"
    return (f"({least}–) " if least != low else "") + inner + (f" (–{most})" if most != high else "")


def notation(summary: Summary) -> str:
    """The whole line: '[30/1/1] (7.9–) 8.3–10.2 × (4.9–) 5.1–6.0 µm, L′ = 9.3 µm, ..., Q = (1.4–) 1.5–1.8, Q′ = 1.66'.

    Means per fruit body (L, W, mean Q) appear with their range where there are several. Without a scale only Q is told.
    """
    bodies = summary.per_fruit_body
    words = []
    if summary.unit == "µm":
        words += [_sizes(summary), *_means("L", [body.l for body in bodies], overall=summary.length.mean)]
        if summary.width is not None:
            words += _means("W", _known("w", bodies), overall=summary.width.mean)
    if summary.q is not None:
        words.append(f"Q = {bracketed(summary.q, places=PLACES['ratio'])}")
        words += _means("Q", _known("q", bodies), overall=summary.q.mean)
    return f"{counted(summary)} {', '.join(words)}"


def _sizes(summary: Summary) -> str:
    places = PLACES[summary.unit]
    length = bracketed(summary.length, places=places)
    if summary.width is None:
        return f"{length} {summary.unit}"
    return f"{length} × {bracketed(summary.width, places=places)} {summary.unit}"


def _known(name: str, bodies: tuple[BodyMeans, ...]) -> list[float]:
    return [value for body in bodies if (value := getattr(body, name)) is not None]


def _means(letter: str, means: list[float], *, overall: float) -> list[str]:
    """['L = 9.1–9.6 µm', 'L′ = 9.3 µm']; the first only where there are several fruit bodies."""
    places, unit = (PLACES["ratio"], "") if letter == "Q" else (PLACES["µm"], " µm")
    words = []
    if len(means) > 1:
        low, high = told(min(means), places), told(max(means), places)
        words.append(f"{'mean Q' if letter == 'Q' else letter} = {low if low == high else f'{low}–{high}'}{unit}")
    return [*words, f"{letter}′ = {told(overall, places)}{unit}"]


def told(value: float, places: int) -> str:
    """Halves go up, as people round. The shortest decimal form of the float is rounded, so that 1.005 is a half."""
    return str(Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP))
