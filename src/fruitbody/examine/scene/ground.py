"""Ground textures: lawn, mulch chips, soil with leaves, paper and board, painted piece by piece on a repeating tile."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fruitbody.examine.scene import noise
from fruitbody.examine.scene.colour import RGB, Floats, linear
from fruitbody.examine.scene.model import Ground, GroundKind
from fruitbody.examine.scene.texture import Texture, with_slopes

SIDE, TEXEL = 1024, 0.3125  # 320 mm a tile
BASE: dict[GroundKind, RGB] = {
    "lawn": (74, 96, 44),
    "mulch": (112, 82, 58),
    "litter": (84, 68, 54),
    "paper": (236, 235, 230),
    "board": (186, 150, 108),
}


@dataclass(frozen=True)
class Pieces:
    """Pieces strewn over a tile: how many, form, ranges of the half sizes (mm), thickness (mm), tints over the base."""

    count: int
    form: str
    along: tuple[float, float]
    across: tuple[float, float]
    thick: float
    tints: tuple[RGB, ...]


SOIL: dict[GroundKind, tuple[RGB, float]] = {"mulch": ((62, 46, 36), 0.8), "lawn": ((58, 56, 36), 0.8)}
_CHIPS: tuple[RGB, ...] = ((0, 0, 0), (34, 28, 22), (-30, -24, -18), (60, 58, 50), (-8, -14, -16))
_LEAVES: tuple[RGB, ...] = ((50, 28, 4), (28, 8, -6), (72, 54, 24), (12, 2, -4), (58, 40, 30))
_BLADES: tuple[RGB, ...] = ((0, 0, 0), (22, 26, 8), (-16, -18, -8), (42, 30, 16), (8, 14, 2))
PIECES: dict[GroundKind, tuple[Pieces, ...]] = {
    "mulch": (Pieces(1500, "chip", (4, 20), (1.2, 5), 2.2, _CHIPS),),
    "litter": (
        Pieces(90, "leaf", (14, 30), (6, 13), 1.0, _LEAVES),
        Pieces(60, "chip", (8, 34), (0.5, 1.4), 1.5, ((8, 8, 8), (-18, -16, -12))),
    ),
    "lawn": (Pieces(1500, "blade", (9, 24), (0.7, 1.5), 1.0, _BLADES),),
}


class _Tile:
    """A colour and height picture on which small pieces are laid one over another, wrapping at the edges."""

    def __init__(self, colour: Floats, height: Floats) -> None:
        self.colour, self.height = colour, height

    def lay(
        self, at: tuple[float, float, float], half: tuple[float, float], tint: Floats, *, form: str, thick: float
    ) -> None:
        """Lay a chip, leaf or blade of half sizes (along, across; mm) at x, y (mm), turned, with a soft shade round."""
        x, y, turn = at
        reach = np.hypot(*half) + 2.0
        i = np.arange(int((x - reach) / TEXEL), int((x + reach) / TEXEL) + 1)
        j = np.arange(int((y - reach) / TEXEL), int((y + reach) / TEXEL) + 1)
        dx, dy = (i * TEXEL - x)[None].astype(np.float32), (j * TEXEL - y)[:, None].astype(np.float32)
        along, across = dx * np.cos(turn) + dy * np.sin(turn), dy * np.cos(turn) - dx * np.sin(turn)
        if form == "chip":
            edge = np.maximum(np.abs(along) - half[0], np.abs(across) - half[1] * (1 - 0.2 * along / half[0]))
        else:  # pointed at both ends
            edge = np.abs(across) - half[1] * np.clip(1 - (along / half[0]) ** 2, -1, 1)
            edge = np.maximum(edge, np.abs(along) - half[0])
        cover, shade = np.clip(0.5 - edge / TEXEL, 0, 1)[..., None], np.clip(1 - edge / 2.0, 0, 1)[..., None]
        grain = 1 + 0.16 * np.sin(
            across * (9.0 if form == "chip" else 3.0) / max(half[1], 0.6) + 0.3 * np.sin(along * 0.3)
        )
        if form == "leaf":
            grain = (
                grain
                * (1 + 0.45 * np.exp(-((across / 0.5) ** 2)))
                * (1 + 0.1 * np.sin((along - 0.8 * np.abs(across)) * 1.3))
            )
        cut = np.ix_(j % SIDE, i % SIDE)
        under = self.colour[cut] * (1 - 0.5 * shade)
        self.colour[cut] = under + cover * (tint * grain[..., None] - under)
        top = thick * (1 - 0.5 * (across / half[1]) ** 2)
        self.height[cut] = self.height[cut] + cover[..., 0] * (top - 0.5 * self.height[cut])


def _bare(colour: RGB, rough: float, seed: int) -> _Tile:
    """Soil-like start, repeating with the tile because the noise table does (256 cells)."""
    axis = (np.arange(SIDE) * (256 / SIDE)).astype(np.float32)
    x, y = np.meshgrid(axis, axis)
    fine = noise.fractal(x, y, seed, 3)
    shade = 1 + rough * 1.3 * (fine - 0.5)
    return _Tile((linear(colour) * shade[..., None]).astype(np.float32), (rough * 1.6 * fine).astype(np.float32))


def _scatter(tile: _Tile, rng: np.random.Generator, pieces: Pieces, base: RGB) -> None:
    palette = np.stack([linear((base[0] + r, base[1] + g, base[2] + b)) for r, g, b in pieces.tints])
    for _ in range(pieces.count):
        tint = (palette[rng.integers(len(palette))] * rng.uniform(0.65, 1.25)).astype(np.float32)
        half = (float(rng.uniform(*pieces.along)), float(rng.uniform(*pieces.across)))
        x, y, turn = (float(v) for v in rng.uniform(0, [SIDE * TEXEL, SIDE * TEXEL, 2 * np.pi]))
        tile.lay((x, y, turn), half, tint, form=pieces.form, thick=pieces.thick)


@lru_cache(maxsize=6)
def texture(ground: Ground, seed: int) -> Texture:
    """The tile of a ground: linear colour (3 channels) and slopes (2)."""
    rng = np.random.default_rng([seed, 7])
    base = ground.colour or BASE[ground.kind]
    if ground.kind == "board":
        tile = _board(base, seed)
    else:
        soil, rough = SOIL.get(ground.kind, (base, 1.0))
        tile = _bare(soil, 0.02 if ground.kind == "paper" else rough, seed)
    for pieces in PIECES.get(ground.kind, ()):
        _scatter(tile, rng, pieces, base)
    if ground.kind == "lawn":  # as bright as the blades that grow over it near the camera
        tile.colour *= 1.5
    return Texture.of(with_slopes(tile.colour, tile.height, TEXEL), TEXEL, repeat=True)


def _board(colour: RGB, seed: int) -> _Tile:
    """Planks 80 mm wide with the grain along x."""
    axis = (np.arange(SIDE) * TEXEL).astype(np.float32)
    x, y = np.meshgrid(axis, axis)
    plank = np.floor(y / 80)
    wave = 9 * noise.value(x * (256 / 320 / 16), y * (256 / 320 / 4), seed) + 2.2 * noise.value(
        x * 0.4, y * 3.2, seed + 1
    )
    rings = 0.5 + 0.5 * np.sin((y % 80) * 0.5 + wave * 1.6 + plank * 9)
    joint = np.clip(np.abs((y + 40) % 80 - 40) / 0.8, 0, 1)
    shade = (0.78 + 0.26 * rings + 0.10 * noise.value(x * 0.8, y * 3.2, seed + 2)) * (0.25 + 0.75 * joint)
    return _Tile(
        (linear(colour) * shade[..., None]).astype(np.float32), (0.15 * rings + 1.2 * joint).astype(np.float32)
    )


def paint(ground: Ground, seed: int, x: Floats, y: Floats, pixel_mm: Floats) -> tuple[Floats, Floats]:
    """Linear colour (n, 3) and unit normal (n, 3) of the ground at x, y (mm)."""
    # far off the tile's repetition would show: there patches of it are turned
    turned = (
        (pixel_mm > 0.6)
        & (noise.value(x / 130 + 60, y / 130 + 60, seed + 53) > 0.5)
        & (ground.kind not in ("paper", "board"))
    )
    x, y = np.where(turned, 0.78 * x - 0.63 * y + 57, x), np.where(turned, 0.63 * x + 0.78 * y + 91, y)
    channels = texture(Ground(ground.kind, ground.colour), seed % 3).sample(x, y, pixel_mm)
    colour = channels[:, :3]
    if ground.patch and ground.kind not in ("paper", "board"):
        wide = noise.fractal(x / 170 + 100, y / 170 + 100, seed + 51, 3)
        colour = colour * (1 + ground.patch * 1.6 * (wide - 0.5))[:, None]
    strength = 0.35
    normal = np.stack(
        [-strength * channels[:, 3], -strength * channels[:, 4], np.ones(x.size, dtype=np.float32)], axis=1
    )
    return colour, normal / np.linalg.norm(normal, axis=1, keepdims=True)
