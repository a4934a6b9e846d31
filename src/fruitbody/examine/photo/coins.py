"""Coins as references: which there are, and which round thing in a photo is the one that was named.

A coin's kind is told by the finder. Without being told, the kinds that would fit are offered and nothing is measured:
diameters of coins lie so close together that a guess would often be a silently wrong scale.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final, cast

import cv2
import numpy as np

from fruitbody.examine.photo.budget import Lens, Scale, distance_mm, perspective_excess
from fruitbody.examine.photo.picture import Picture, Pixels
from fruitbody.examine.photo.rim import Round, light_of
from fruitbody.examine.photo.rounds import find_rounds

DATA: Final = Path(__file__).with_name("data") / "coins.toml"
U_MM: Final = 0.06  # tolerance and wear, assumed
SEEN: Final = 0.95  # share of the rim that must show an edge
FIT: Final = 0.0015  # residual over major axis, at most
WANTED_PX: Final = 150.0  # ask for a coin at least this wide
NEAREST_MM, FARTHEST_MM = 60.0, 3000.0  # distances at which people photograph a mushroom with a coin
RIVAL_SEEN, RIVAL_CHROMA = 0.8, 3.5  # another round thing this clear and nearly as grey makes it doubtful
SILVER_CHROMA: Final = 9.0
_HUES: Final = {"copper": (25.0, 85.0), "gold": (55.0, 110.0)}  # CIELAB hue angles of worn and new coins (assumed)


@dataclass(frozen=True, slots=True)
class Coin:
    """id: as on the terminal; mm, u_mm: diameter and its standard uncertainty; metal: silver, copper, gold or two."""

    id: str
    name: str
    mm: float
    u_mm: float
    metal: str
    round: bool
    source: str


@dataclass(frozen=True, slots=True)
class CoinSearch:
    """chosen: the one ellipse that is the coin, or None with `why`. others: further round things, best first.

    fits: for an untold coin, ids of the kinds that its colour and distance allow.
    """

    chosen: Round | None
    why: str = ""
    others: tuple[Round, ...] = ()
    fits: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def coins() -> dict[str, Coin]:
    """All known coins by id, smallest first within a country, from the data file."""
    table = tomllib.loads(DATA.read_text(encoding="utf-8"))
    return {
        key: Coin(
            key, row["name"], row["mm"], row.get("u_mm", U_MM), row["metal"], row.get("round", True), row["source"]
        )
        for key, row in table.items()
    }


def coin_scale(found: Round, coin: Coin, lens: Lens) -> Scale:
    """The scale that a coin's ellipse gives, freed from the perspective of a very near coin."""
    u_minor = found.u_major_px * 1.3  # the side wall of a coin shows on the short side
    raw = Scale(
        coin.mm, coin.u_mm, found.major_px, found.u_major_px, found.minor_px, u_minor, angle_deg=found.angle_deg
    )
    excess = perspective_excess(raw, lens)
    if not excess:
        return raw
    return Scale(
        coin.mm, coin.u_mm, found.major_px / (1 + excess), found.u_major_px, found.minor_px, u_minor, found.angle_deg
    )


def find_coin(
    picture: Picture,
    coin: Coin | None,
    *,
    near: tuple[float, float] | None = None,
    rounds: Sequence[Round] | None = None,
) -> CoinSearch:
    """Which round thing is the coin. near: a point on it, where a person pointed; rounds: already searched."""
    every = tuple(rounds) if rounds is not None else find_rounds(picture)
    clear = [r for r in every if r.seen >= SEEN and not r.doubtful and r.residual_px <= max(0.35, FIT * r.major_px)]
    if near is not None:
        clear = [r for r in clear if r.holds(*near)]
    if coin is not None:
        clear = [r for r in clear if likely(r, coin, picture.lens, pointed=near is not None)]
    clear = [r for r in clear if near is not None or has_face(picture, r)]
    whole = sorted((r for r in clear if not r.cut), key=lambda r: r.chroma)
    if not whole:
        return CoinSearch(None, _none(clear, every), tuple(every))
    first = whole[0]
    rivals = [r for r in every if r.seen >= RIVAL_SEEN and r.chroma < first.chroma + RIVAL_CHROMA]
    rivals = [r for r in rivals if not first.holds(*r.centre_px, 0.5) or r.major_px > 1.3 * first.major_px]
    if near is None and not _alike([first, *rivals]):
        return CoinSearch(
            None,
            f"{len(rivals) + 1} round things could be the coin and they give different scales. Point at the coin.",
            (first, *rivals),
        )
    if coin is None:
        fits = tuple(c.id for c in coins().values() if likely(first, c, picture.lens))
        return CoinSearch(None, _untold(fits), tuple(whole), fits)
    return CoinSearch(first, "", tuple(whole[1:]))


def has_face(picture: Picture, found: Round) -> bool:
    """Whether the inside looks like a struck coin: flat, with a relief and a rim. A smooth or domed cap does not."""
    a, s = np.linspace(0, 2 * np.pi, 72, endpoint=False), np.linspace(0.1, 1.0, 46)
    points = found.at(a[:, None], s[None, :]).astype(np.float32)
    pixels = cv2.remap(picture.rgb, points[..., 0], points[..., 1], cv2.INTER_LINEAR)
    light = light_of(cast(Pixels, pixels)).mean(axis=2)
    x, y = (np.cos(a)[:, None] * s)[:, 5:38].ravel(), (np.sin(a)[:, None] * s)[:, 5:38].ravel()
    inner = light[:, 5:38].ravel()
    mean = float(inner.mean()) + 1e-6
    terms = np.stack([np.ones_like(x), x, y, x * x + y * y], axis=1)
    fitted, *_ = np.linalg.lstsq(terms, inner, rcond=None)
    relief = float(np.std(inner - terms @ fitted)) / mean
    across = math.hypot(float(fitted[1]), float(fitted[2])) / mean
    steps = np.abs(np.diff(light, axis=1)).mean(axis=0)
    rim = float(steps[37:43].max() / (np.median(steps[20:36]) + 1e-6))
    return bool(0.03 < relief < 0.45) and across < 0.6 and rim > 1.35


def likely(found: Round, coin: Coin, lens: Lens, *, pointed: bool = False) -> bool:
    """Whether colour and distance allow this coin; wider where a person pointed at it, for light indoors tints."""
    z, u = distance_mm(coin_scale_raw(found, coin), lens)
    if not (z + 2 * u >= NEAREST_MM and z - 2 * u <= FARTHEST_MM):
        return False
    if coin.metal == "two":
        return True
    if coin.metal == "silver":
        return found.chroma < (25 if pointed else SILVER_CHROMA)
    low, high = _HUES[coin.metal]
    hue = math.degrees(math.atan2(found.lab[2], found.lab[1])) % 360
    return found.chroma >= 6 and low <= hue <= high


def coin_scale_raw(found: Round, coin: Coin) -> Scale:
    return Scale(coin.mm, coin.u_mm, found.major_px, found.u_major_px, found.minor_px, found.u_major_px)


def pairs(first_px: float, second_px: float, *, tolerance: float = 0.012) -> list[tuple[Coin, Coin]]:
    """Pairs of coins of one country whose diameters have the ratio of two axes, closest first: only to offer."""
    ratio = first_px / second_px
    fitting = [
        (abs(a.mm / b.mm / ratio - 1), a, b)
        for a in coins().values()
        for b in coins().values()
        if a.id != b.id and a.id.split("-")[0] == b.id.split("-")[0]
    ]
    return [(a, b) for off, a, b in sorted(fitting, key=lambda row: row[0]) if off <= tolerance]


def _alike(rounds: Sequence[Round]) -> bool:
    """Several coins of one kind in one plane: their axes differ by little."""
    axes = [r.major_px for r in rounds]
    return max(axes) / min(axes) < 1.02


def _none(clear: Sequence[Round], every: Sequence[Round]) -> str:
    if clear:
        return "The coin lies half out of the picture. Take the photo again with the whole coin in it."
    if any(r.seen >= 0.7 and r.cut for r in every):
        return "Something round is cut by the edge of the picture. Take the photo again with the whole coin in it."
    if any(r.seen >= 0.7 for r in every):
        return (
            "Something round is there, but its rim is not clear enough to measure by. Lay the coin on a plain ground, "
            "away from shadows, and bring it nearer."
        )
    return "No coin was found. Lay it flat beside the mushroom, whole and uncovered."


def _untold(fits: Sequence[str]) -> str:
    if not fits:
        return "A round thing was found, but no known coin of its colour fits. Say what it is."
    names = ", ".join(coins()[i].name for i in fits[:12])
    return f"A coin was found, but not which. Say which it is; by colour it could be: {names}."
