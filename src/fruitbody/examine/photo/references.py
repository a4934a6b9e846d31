"""All references in one photo: what was found, whether they agree, and which one is measured by.

A knife, a hand or a shoe is no reference; it gives a rough size only, and the result is marked so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from fruitbody.examine.photo.budget import Scale, distance_mm
from fruitbody.examine.photo.card import U_ID1_MM, FoundCard, card_scale, find_id1, find_scale_card, printed_scale
from fruitbody.examine.photo.coins import WANTED_PX, coin_scale, coins, find_coin
from fruitbody.examine.photo.picture import Picture
from fruitbody.examine.photo.plane import Plane, plane_of_disc, plane_of_homography
from fruitbody.examine.photo.ruler import find_ruler, ruler_scale

KINDS: Final = ("auto", "ruler", "card")
ROUGH: Final = {"knife": (95.0, 0.25), "hand": (85.0, 0.15), "shoe": (290.0, 0.15)}  # mm, relative u; assumed
HEIGHTS_MM: Final = 3.0  # by how much the faces of two references on one ground may differ in height
_SMALL: Final = "The coin is only {:.0f} pixels wide; at least {:.0f} make the size surer. Go nearer next time."
_TURN: Final = np.linspace(0, 2 * math.pi, 48, endpoint=False)
_CHI2_99: Final = (6.63, 9.21, 11.34, 13.28)  # 99 % points for 1 to 4 degrees of freedom (standard tables)


@dataclass(frozen=True, slots=True)
class Reference:
    """kind: a coin's id, "ruler", "id-1 card", "scale card", or a rough thing. found: it gives a scale.

    centre_px, outline_px: where it lies, for a person to confirm. why: a sentence where it gives none.
    offers: coins that it could be. rough: good for a rough size only.
    """

    kind: str
    found: bool
    scale: Scale | None = None
    plane: Plane | None = None
    residual_px: float | None = None
    centre_px: tuple[float, float] | None = None
    outline_px: tuple[tuple[float, float], ...] = ()
    why: str = ""
    offers: tuple[str, ...] = ()
    rough: bool = False


@dataclass(frozen=True, slots=True)
class References:
    """every: what was looked for; used: the one to measure by, or None; warnings: sentences for people."""

    every: tuple[Reference, ...]
    used: Reference | None
    warnings: tuple[str, ...]


def find_references(
    picture: Picture,
    wanted: str = "auto",
    *,
    near: tuple[float, float] | None = None,
    bar_mm: float | None = None,
) -> References:
    """Look for what was named, and with "auto" for everything.

    near: a point on the coin, where a person pointed. bar_mm: the scale card's check bar as measured on the print.
    Raises ValueError for an unknown kind.
    """
    if wanted in ROUGH:
        why = (
            f"A {wanted} is no reference: sizes differ too much between them. Lay a coin, a ruler or a card beside it."
        )
        return References((Reference(wanted, False, why=why, rough=True),), None, (why,))
    if wanted not in KINDS and wanted not in coins():
        raise ValueError(f"There is no reference “{wanted}”. Known: {', '.join([*KINDS, *coins(), *ROUGH])}.")
    if "panorama" in picture.odd:
        return References((), None, ())
    every: list[Reference] = []
    notes: list[str] = []
    if wanted in ("auto", "card"):
        card, note = _scale_card(picture, bar_mm)
        every += [card] if card.found or wanted == "card" else []
        notes += [note] if card.found and note else []
        if not card.found:
            plain = _id1(picture)
            every += [plain] if plain.found or wanted == "card" else []
    if wanted in ("auto", "ruler"):
        ruler = _ruler(picture)
        every += [ruler] if ruler.found or ruler.why or wanted == "ruler" else []
    if wanted == "auto" or wanted in coins():
        coin = _coin(picture, wanted, near)
        every += [coin] if coin.found or wanted != "auto" or coin.offers else []
        if coin.scale is not None and coin.scale.major_px < WANTED_PX:
            notes.append(_SMALL.format(coin.scale.major_px, WANTED_PX))
    return judged(tuple(every), picture, notes)


def judged(every: tuple[Reference, ...], picture: Picture, notes: Sequence[str] = ()) -> References:
    """Choose the surest reference, or none where they contradict one another."""
    found = [r for r in every if r.found and r.scale is not None]
    said = list(notes) + [r.why for r in every if r.why and not r.found]
    if not found:
        if not any(r.why for r in every):
            said.append("No reference was found, so no size is given. Lay a coin, a ruler or our card beside it.")
        return References(every, None, tuple(dict.fromkeys(said)))
    if len(found) > 1 and (words := disagreement(found, picture)):
        return References(every, None, (words, *dict.fromkeys(said)))
    used = min(found, key=lambda r: r.scale.u_mm_per_px / r.scale.mm_per_px if r.scale else math.inf)
    # What is missing is of no interest once something better was found.
    kept = [w for w in said if w not in {r.why for r in every}]
    return References(every, used, tuple(dict.fromkeys(kept)))


def disagreement(found: Sequence[Reference], picture: Picture) -> str:
    """A sentence where the scales differ by more than their uncertainties allow (99 %); "" where they agree.

    Each scale is carried to the first one's place along the plane, because what lies farther looks smaller.
    """
    plane = next((r.plane for r in found if r.plane is not None), None)
    values, variances = [], []
    for one in found:
        assert one.scale is not None
        assert one.centre_px is not None
        value, u = one.scale.mm_per_px, one.scale.u_mm_per_px
        loose = 0.02 * value if plane is None else 0.004 * value
        if plane is not None and found[0].centre_px is not None:
            here, there = plane.depth(found[0].centre_px), plane.depth(one.centre_px)
            if math.isfinite(here) and math.isfinite(there):
                value, u = value * here / there, u * here / there
                loose += 0.04 * abs(here / there - 1) * value
        z, _ = distance_mm(one.scale, picture.lens)
        values.append(value)
        variances.append(u**2 + loose**2 + (HEIGHTS_MM / z * value) ** 2)
    weights = [1 / v for v in variances]
    mean = sum(w * x for w, x in zip(weights, values, strict=True)) / sum(weights)
    chi2 = sum(w * (x - mean) ** 2 for w, x in zip(weights, values, strict=True))
    if chi2 <= _CHI2_99[min(len(found), 5) - 2]:
        return ""
    names = " and ".join(_name(r.kind) for r in found)
    most = 100 * (max(values) / min(values) - 1)
    return (
        f"The references disagree: {names} differ by {most:.0f} % in scale. One of them is not what it was taken for, "
        "or they do not lie on one ground. Say which to use; until then nothing is measured."
    )


def rough_reference(kind: str, a_px: tuple[float, float], b_px: tuple[float, float]) -> Reference:
    """A knife, hand (breadth) or shoe (length) whose ends a person marked: a rough size, marked so."""
    size, u = ROUGH[kind]
    px = math.dist(a_px, b_px)
    scale = Scale(size, u * size, px, 3.0)
    middle = ((a_px[0] + b_px[0]) / 2, (a_px[1] + b_px[1]) / 2)
    return Reference(kind, True, scale, None, None, middle, (a_px, b_px), "", (), rough=True)


def _name(kind: str) -> str:
    return coins()[kind].name if kind in coins() else f"the {kind}"


def _principal(picture: Picture) -> tuple[float, float]:
    return (picture.width - 1) / 2, (picture.height - 1) / 2


def _coin(picture: Picture, wanted: str, near: tuple[float, float] | None) -> Reference:
    coin = coins().get(wanted)
    search = find_coin(picture, coin, near=near)
    if search.chosen is None or coin is None:
        return Reference(wanted if coin else "coin", False, why=search.why, offers=search.fits)
    r = search.chosen
    scale = coin_scale(r, coin, picture.lens)
    plane = plane_of_disc(
        r.centre_px, (r.major_px, r.minor_px), r.angle_deg, coin.mm, lens=picture.lens, principal_px=_principal(picture)
    )
    rim = r.at(_TURN)
    return Reference(
        wanted, True, scale, plane, r.residual_px, r.centre_px, tuple((float(x), float(y)) for x, y in rim)
    )


def _card(picture: Picture, card: FoundCard, kind: str, u_mm: float, print_scale: float) -> Reference:
    scale = card_scale(card, u_mm=u_mm, print_scale=print_scale)
    plane = plane_of_homography(
        card.homography, lens=picture.lens, principal_px=_principal(picture), print_scale=print_scale
    )
    corners = tuple((float(x), float(y)) for x, y in card.corners_px)
    return Reference(kind, True, scale, plane, card.residual_px, card.centre_px, corners)


def _scale_card(picture: Picture, bar_mm: float | None) -> tuple[Reference, str]:
    true, u, note = printed_scale(bar_mm)
    card = find_scale_card(picture)
    if card is None:
        return Reference("scale card", False, why="Our scale card was not found. Lay it flat, all of it in view."), ""
    return _card(picture, card, "scale card", u * card.size_mm[0], true), note


def _id1(picture: Picture) -> Reference:
    card = find_id1(picture)
    if card is None:
        return Reference(
            "id-1 card", False, why="No card was found. Lay it flat and whole on a ground of another colour."
        )
    return _card(picture, card, "id-1 card", U_ID1_MM, 1.0)


def _ruler(picture: Picture) -> Reference:
    ruler = find_ruler(picture)
    if ruler is None:
        return Reference("ruler", False, why="")
    ends = tuple((float(x), float(y)) for x, y in ruler.ends_px)
    middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
    if ruler.why:
        return Reference("ruler", False, None, None, ruler.residual_px, middle, ends, ruler.why)
    scale = ruler_scale(ruler, picture.lens, _principal(picture))
    return Reference("ruler", True, scale, None, ruler.residual_px, middle, ends)
