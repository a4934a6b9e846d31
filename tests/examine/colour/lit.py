"""Rendered scenes of known colour under light of varying warmth and strength: a cap, a flat plate and a card."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fruitbody.examine.colour.patch import Disc
from fruitbody.examine.colour.pixels import Pixels
from fruitbody.examine.colour.spaces import RGB, Floats, decode, encode, lab_of_srgb
from fruitbody.examine.scene import Camera, Cap, Card, FruitBody, Ground, Lens, Light, Scene, Stem, render
from fruitbody.examine.scene.plates import plate

GREYS = (245, 160, 95, 40)
"""Codes of the rendered card's four patches (scene/plates.py)."""
COLOURS: tuple[RGB, ...] = (
    (150, 105, 65), (196, 60, 40), (235, 225, 200), (120, 80, 55), (70, 55, 48), (210, 170, 90),
    (140, 120, 160), (110, 120, 80), (225, 200, 160), (90, 90, 88), (180, 120, 90), (200, 160, 150),
)  # fmt: skip


@dataclass(frozen=True)
class Lit:
    """A photo, the true colour of cap and plate, and where they and the card's patches lie in it."""

    picture: Pixels
    true: Floats
    cap: Disc
    flat: Disc
    greys: tuple[Disc, ...]


def scenes(n: int, seed: int) -> Iterator[Lit]:
    """n scenes; warmth from bluish to yellow, strength from dim to bright, sun from anywhere above 35 degrees."""
    rng = np.random.default_rng(seed)
    for k in range(n):
        yield _lit(rng, COLOURS[k % len(COLOURS)])


def _lit(rng: np.random.Generator, colour: RGB) -> Lit:
    light = Light(
        azimuth_deg=float(rng.uniform(-180, 180)),
        elevation_deg=float(rng.uniform(35, 75)),
        warmth=float(rng.uniform(-1, 1.5)),
        strength=float(rng.uniform(0.5, 1.1)),
        ambient=float(rng.uniform(0.3, 0.7)),
    )
    camera = Camera.looking_at((0, -10, 20), distance_mm=300, tilt_deg=float(rng.uniform(5, 35)), f_px=1000).scaled(256)
    card, plain = Card((0.0, -62.0)), Card((95.0, 0.0), turn_deg=90.0, plain=True, colour=colour)
    body = FruitBody(Cap(70.0, profile="convex", colour=colour, gloss=0.0), Stem(30, 9, 9, 10), base_mm=(-30, 25, 0))
    ground = Ground("paper" if rng.random() < 0.5 else "board")
    picture, truth = render(Scene(camera, (body,), (card, plain), ground=ground, light=light, lens=Lens(blur_px=0.5)))
    face = plate(card)
    greys = [face.centre + (14 + 19 * k - 42.8) * face.u + (20 - 26.99) * face.v for k in range(len(GREYS))]
    margin = np.array(truth["fruit_bodies"][0]["cap"]["margin"]["px"]).mean(axis=0)
    return Lit(
        picture,
        lab_of_srgb(colour),
        _disc(margin, 5.0),
        _disc(camera.project(plate(plain).centre[None])[0], 5.0),
        tuple(_disc(camera.project(at[None])[0], 3.0) for at in greys),
    )


def _disc(at: Floats, r: float) -> Disc:
    return Disc(float(at[0]), float(at[1]), r)


def as_a_phone(picture: Pixels, rng: np.random.Generator) -> Pixels:
    """What a phone makes of it: white balance a little off, an S-shaped tone curve, colours muted or strengthened.

    The amounts are drawn evenly, not from the normal widths that the uncertainty assumes.
    """
    balance = np.exp(rng.uniform(-0.12, 0.12) * np.array([1.0, 0.0, -1.0]) + rng.uniform(-0.04, 0.04, 3))
    code = encode(decode(picture) * balance) / 255
    curved = code - rng.uniform(0.0, 0.09) * np.sin(2 * np.pi * code) / np.pi
    luma = curved @ np.array([0.299, 0.587, 0.114])
    vivid = luma[..., None] + rng.uniform(0.95, 1.25) * (curved - luma[..., None])
    return np.rint(255 * np.clip(vivid, 0, 1)).astype(np.uint8)
