"""Draws the demo's photographs with the project's own scene renderer, two at a time, telling how far it is."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import replace
from pathlib import Path

from PIL import Image

from fruitbody.examine.scene.demo import demo_scenes
from fruitbody.examine.scene.render import render

WIDTH = 800
"""Pixels: enough to look at, and all scenes are drawn in about a minute on two cores."""


def views_of(scene: str) -> tuple[str, ...]:
    """Names of all scenes of one thing: 'lawn-brown-1' gives 'lawn-brown-1-top', ..."""
    return tuple(name for name in demo_scenes() if name.rpartition("-")[0] == scene)


def draw(name: str, width: int = WIDTH) -> bytes:
    """One scene as JPEG bytes."""
    scene = demo_scenes()[name]
    factor = width / scene.camera.width
    lens = replace(scene.lens, blur_px=scene.lens.blur_px * factor)
    picture, _ = render(replace(scene, camera=scene.camera.scaled(width), lens=lens))
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=scene.lens.jpeg_quality)
    return out.getvalue()


def draw_all(names: Sequence[str], folder: Path, tell: Callable[[str], None]) -> Mapping[str, Path]:
    """Draw what is not in `folder` yet; returns the file of each name."""
    folder.mkdir(parents=True, exist_ok=True)
    files = {name: folder / f"{name}.jpg" for name in names}
    missing = [name for name, path in files.items() if not path.exists()]
    with ProcessPoolExecutor(max_workers=2) as pool:
        waiting = {pool.submit(draw, name): name for name in missing}
        for done, future in enumerate(as_completed(waiting), start=1):
            files[waiting[future]].write_bytes(future.result())
            tell(f"  photograph {done} of {len(missing)}: {waiting[future]}")
    return files
