"""Write the demo pictures: `python -m fruitbody.examine.scene OUTDIR [--only NAME] [--width 1600]`."""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import replace
from pathlib import Path

from PIL import Image

from fruitbody.examine.scene.demo import demo_scenes
from fruitbody.examine.scene.render import render


def main(argv: list[str] | None = None) -> int:
    """Render the chosen scenes to OUTDIR/NAME.jpg and NAME.json; returns the exit status."""
    parser = argparse.ArgumentParser(
        prog="python -m fruitbody.examine.scene", description="Render the demo photographs and their truth files."
    )
    parser.add_argument("outdir", type=Path, help="folder to write to; it is made when missing")
    parser.add_argument("--only", default="", metavar="NAME", help="only scenes whose name begins with NAME")
    parser.add_argument("--width", type=int, default=1600, help="picture width in pixels (320 to 6000, default 1600)")
    options = parser.parse_args(argv)
    chosen = {name: scene for name, scene in demo_scenes().items() if name.startswith(options.only)}
    if not chosen:
        print(f"No scene begins with {options.only!r}. Leave --only away to see all names.", file=sys.stderr)
        return 2
    if not 320 <= options.width <= 6000:
        print("The width must lie between 320 and 6000 pixels.", file=sys.stderr)
        return 2
    options.outdir.mkdir(parents=True, exist_ok=True)
    for n, (name, scene) in enumerate(chosen.items(), start=1):
        started = time.monotonic()
        factor = options.width / scene.camera.width
        scene = replace(
            scene,
            camera=scene.camera.scaled(options.width),
            lens=replace(scene.lens, blur_px=scene.lens.blur_px * factor),
        )
        picture, truth = render(scene)
        Image.fromarray(picture).save(options.outdir / f"{name}.jpg", quality=scene.lens.jpeg_quality, subsampling=0)
        text = json.dumps({"name": name, **truth}, indent=1)
        (options.outdir / f"{name}.json").write_text(text + "\n", encoding="utf-8")
        print(f"{n:3} of {len(chosen)}  {name}  {time.monotonic() - started:.1f} s", flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
