"""From a scene to pixels: rays, extra rays along edges, grass, and what the lens adds."""

from __future__ import annotations

from typing import Any, cast

import numpy as np
import numpy.typing as npt

from fruitbody.examine.scene import grass, shade
from fruitbody.examine.scene.colour import Floats, encode
from fruitbody.examine.scene.model import Lens, Scene
from fruitbody.examine.scene.truth import truth_of

BAND = 96  # image rows a pass, to keep the working arrays in the cache
# Offsets of the extra rays of an edge pixel: the eight queens' pattern, no two in one row or column.
_EXTRA = (np.array([[0, 3], [1, 6], [2, 0], [3, 7], [4, 4], [5, 1], [6, 5], [7, 2]]) + 0.5) / 8 - 0.5


def render(scene: Scene) -> tuple[npt.NDArray[np.uint8], dict[str, Any]]:
    """Picture (height, width, 3; sRGB) and truth record of a scene. Equal scenes give equal bytes.

    Raises ValueError when the camera stands at or below the ground.
    """
    if scene.camera.position_mm[2] <= 0:
        raise ValueError("The camera stands at or below the ground; lift its position above z = 0.")
    world = shade.World.of(scene)
    light, seen = _first_pass(world)
    edges = _edges(world, seen)
    light[edges] = _resample(world, edges)
    if scene.ground.kind == "lawn" and scene.ground.blade_mm > 0:
        grass.grow(world, light, seen.depth.reshape(light.shape[:2]))
    return _expose(light, scene.lens, scene.seed), truth_of(scene)


def _pixels(width: int, rows: range) -> Floats:
    x, y = np.meshgrid(np.arange(width, dtype=np.float64), np.arange(rows.start, rows.stop, dtype=np.float64))
    return np.stack([x.ravel(), y.ravel()], axis=1)


def _first_pass(world: shade.World) -> tuple[Floats, shade.Seen]:
    """One ray through every pixel's centre."""
    camera = world.scene.camera
    light = np.empty((camera.height, camera.width, 3), dtype=np.float32)
    parts: list[shade.Seen] = []
    for top in range(0, camera.height, BAND):
        rows = range(top, min(top + BAND, camera.height))
        directions = camera.directions(_pixels(camera.width, rows)).astype(np.float32)
        part = shade.see(world, directions)
        light[rows.start : rows.stop] = shade.radiance(world, directions, part).reshape(len(rows), camera.width, 3)
        parts.append(part)
    join = [np.concatenate([getattr(p, name) for p in parts]) for name in ("number", "depth", "rim")]
    return light, shade.Seen(join[0], join[1], join[2])


def _edges(world: shade.World, seen: shade.Seen) -> npt.NDArray[np.bool_]:
    """Pixels whose neighbour shows another object, or the same one clearly nearer or farther."""
    shape = (world.scene.camera.height, world.scene.camera.width)
    number = seen.number.reshape(shape) * 2 + seen.rim.reshape(shape)
    near = 1.0 / np.maximum(seen.depth.reshape(shape), 1.0)
    out = np.zeros(shape, dtype=bool)
    for axis in (0, 1):
        low = [slice(None), slice(None)]
        high = [slice(None), slice(None)]
        low[axis], high[axis] = slice(None, -1), slice(1, None)
        a, b = tuple(low), tuple(high)
        solid = np.maximum(number[a], number[b]) >= 4
        jump = (number[a] != number[b]) | (solid & (np.abs(near[a] - near[b]) > 0.012 * np.maximum(near[a], near[b])))
        out[a] |= jump
        out[b] |= jump
    return out


def _resample(world: shade.World, edges: npt.NDArray[np.bool_]) -> Floats:
    """Mean of the extra rays of the marked pixels, (n, 3)."""
    y, x = np.nonzero(edges)
    centres = np.stack([x, y], axis=1).astype(np.float64)
    total = np.zeros((len(centres), 3), dtype=np.float32)
    for offset in _EXTRA:
        directions = world.scene.camera.directions(centres + offset).astype(np.float32)
        total += shade.radiance(world, directions, shade.see(world, directions))
    return total / len(_EXTRA)


def _blurred(light: Floats, sigma: float) -> Floats:
    """Gaussian blur with mirrored borders."""
    if sigma <= 0:
        return light
    reach = int(np.ceil(3.5 * sigma))
    k = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    k = (k / k.sum()).astype(np.float32)
    for axis in (0, 1):
        widths = [(reach, reach) if a == axis else (0, 0) for a in range(3)]
        padded = np.pad(light, widths, mode="symmetric")
        out = np.zeros_like(light)
        for n, weight in enumerate(k):
            out += weight * (padded[n : n + light.shape[0]] if axis == 0 else padded[:, n : n + light.shape[1]])
        light = out
    return light


def _expose(light: Floats, lens: Lens, seed: int) -> npt.NDArray[np.uint8]:
    """Blur, corner darkening, sRGB encoding, noise that is stronger in the dark half of the codes."""
    light = _blurred(light, lens.blur_px)
    height, width = light.shape[:2]
    if lens.vignetting:
        y, x = np.ogrid[-1 : 1 : complex(height), -1 : 1 : complex(width)]
        light = light * (1 - lens.vignetting * (x * x + y * y) / 2)[..., None]
    code = _encode_table(light)
    if lens.noise:
        rng = np.random.default_rng([seed, 99])
        grain = rng.standard_normal((height, width), dtype=np.float32)[..., None] * np.float32(0.85)
        colour = rng.standard_normal((height, width, 3), dtype=np.float32) * np.float32(0.5)
        code = code + lens.noise * (grain + colour) * (1.25 - 0.5 * code / 255)
    return cast("npt.NDArray[np.uint8]", np.clip(np.rint(code), 0, 255).astype(np.uint8))


def _encode_table(light: Floats) -> Floats:
    """sRGB codes through a table of the square root, exact to 0.01 code and far faster than a power per pixel."""
    n = 8192
    table = encode((np.arange(n + 1) / n) ** 2).astype(np.float32)
    at = np.sqrt(np.clip(light, 0, 1)) * n
    low = np.minimum(at.astype(np.int32), n - 1)
    return cast(Floats, table[low] + (at - low) * (table[low + 1] - table[low]))
