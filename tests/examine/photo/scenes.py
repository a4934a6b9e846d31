"""Small rendered photographs with known truth, and a photo of a flat sheet, shared by the tests."""

from __future__ import annotations

import io
import math
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from PIL import Image

from fruitbody.examine.photo.budget import FILM_DIAGONAL_MM
from fruitbody.examine.photo.picture import Picture
from fruitbody.examine.scene import Camera, Cap, Card, Coin, FruitBody, Ground, Lens, Light, Ruler, Scene, Stem, render

WIDTH = 800
LIGHT = Light(warmth=0.1)
CLEAN = Lens(blur_px=0.7, vignetting=0.05, noise=1.5)
BROWN = FruitBody(Cap(44.0, colour=(150, 92, 52)), Stem(40.0, 7, 8, 10), base_mm=(-28.0, 14.0, 0.0))


def camera(tilt: float, distance: float = 190.0, heading: float = 0.0) -> Camera:
    return Camera.looking_at((0, 0, 8), distance_mm=distance, tilt_deg=tilt, heading_deg=heading).scaled(WIDTH)


def photo(scene: Scene) -> tuple[Picture, dict[str, Any]]:
    pixels, truth = render(scene)
    return Picture(pixels, f35(scene.camera)), truth


def f35(view: Camera) -> float:
    return view.f_px / math.hypot(view.width, view.height) * FILM_DIAGONAL_MM


@lru_cache(maxsize=16)
def coin_photo(tilt: float, *, body: bool = False, height: float = 1.75, ground: str = "board") -> tuple[Picture, Any]:
    coin = Coin((26.0, -12.0), height_mm=height, turn_deg=15)
    bodies = (BROWN,) if body else ()
    return photo(Scene(camera(tilt), bodies, (coin,), ground=Ground(ground), light=LIGHT, lens=CLEAN))  # type: ignore[arg-type]


@lru_cache(maxsize=16)
def ruler_photo(tilt: float, turn: float = 0.0) -> tuple[Picture, Any]:
    view = camera(tilt, 170)
    return photo(
        Scene(
            view,
            (),
            (Ruler((0.0, 0.0), length_mm=100.0, turn_deg=turn),),
            ground=Ground("board"),
            light=LIGHT,
            lens=CLEAN,
        )
    )


@lru_cache(maxsize=16)
def card_photo(tilt: float, turn: float = 12.0) -> tuple[Picture, Any]:
    card = Card((0.0, 0.0), turn_deg=turn)
    return photo(Scene(camera(tilt), (), (card,), ground=Ground("board"), light=LIGHT, lens=CLEAN))


def sheet_photo(
    sheet: np.ndarray[Any, np.dtype[np.uint8]], px_per_mm: float, view: Camera, *, ground: int = 110
) -> Picture:
    """A flat sheet (its picture at px_per_mm, middle on the origin) seen by a camera, slightly blurred."""
    h, w = sheet.shape[:2]
    corners = np.array([[-w, h, 0], [w, h, 0], [w, -h, 0], [-w, -h, 0]]) / 2 / px_per_mm
    to = view.project(corners).astype(np.float32)
    source = np.array([[0, 0], [w, 0], [w, h], [0, h]], np.float32) - 0.5
    m = cv2.getPerspectiveTransform(source, to)
    big = cv2.warpPerspective(
        sheet, np.diag([2.0, 2.0, 1.0]) @ m, (2 * view.width, 2 * view.height), flags=cv2.INTER_AREA,
        borderValue=(ground, ground, ground),
    )  # fmt: skip
    small = cv2.resize(cv2.GaussianBlur(big, (0, 0), 1.3), (view.width, view.height), interpolation=cv2.INTER_AREA)
    return Picture(np.ascontiguousarray(small).astype(np.uint8), f35(view))


def drawn_ruler(unit: str, px_per_mm: float = 10.0, length_mm: float = 101.6) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """A ruler of our own, marks along its upper edge: millimetres (10, 5, 1) or inches in sixteenths."""
    sheet = np.full((round(26 * px_per_mm), round((length_mm + 10) * px_per_mm), 3), 228, np.uint8)
    step, base = (1.0, 10) if unit == "mm" else (25.4 / 16, 16)
    for n in range(int(length_mm / step) + 1):
        ranks = (10, 5) if unit == "mm" else (16, 8, 4, 2)
        reach = 3.5 + 2.2 * sum(n % r == 0 for r in ranks)
        x = (5 + n * step) * px_per_mm
        sheet[: round(reach * px_per_mm), round(x - 1) : round(x + 1)] = 25
    assert base in ranks
    return sheet


def jpeg(picture: Picture | np.ndarray[Any, np.dtype[np.uint8]], **options: Any) -> bytes:
    pixels = picture.rgb if isinstance(picture, Picture) else picture
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=97, subsampling=0, **options)
    return out.getvalue()
