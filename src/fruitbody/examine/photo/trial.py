"""How good lengths from photos are: rendered references of known truth, and lengths whose depth is told wrongly.

A factorial plan over reference, tilt, size in pixels and blur. Each scene shows one reference; the length beside it is
a virtual cap of known width, projected exactly by the scene's camera, so that only the reference has to be rendered and
every scene has an independent fruit body. The error of the told height is a mixture of uniform ones, not the normal
prior of the budget: coverage is told by how wrong the height was.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from fruitbody.examine.photo.budget import FILM_DIAGONAL_MM, BudgetError, Placing
from fruitbody.examine.photo.coins import coins
from fruitbody.examine.photo.lengths import Height, between
from fruitbody.examine.photo.picture import Picture
from fruitbody.examine.photo.references import find_references
from fruitbody.examine.scene import Camera, Card, Coin, Ground, Lens, Light, Ruler, Scene, render

Floats = npt.NDArray[np.floating[Any]]

WIDTH, HEIGHT = 560, 420
TILTS: Final = ((0.0, 20.0), (20.0, 40.0), (40.0, 60.0))
COIN_PX: Final = ((40.0, 80.0), (80.0, 200.0), (200.0, 300.0))
KINDS: Final = ("us-quarter", "us-quarter", "us-cent", "ruler", "card")  # coins three times in five
GROUNDS: Final = ("board", "paper", "litter")
U_HEIGHT_MM: Final = 15.0  # what the budget assumes of a told height in this trial
ERRORS_MM: Final = ((0.6, 10.0), (0.3, 25.0), (0.1, 50.0))  # share of scenes, half width of the even error
MARGIN_MM: Final = 0.8
INCLINE_DEG: Final = 8.0
SAME_PLANE: Final = 4  # every so many scene has its cap at the reference's own height, told rightly


@dataclass(frozen=True, slots=True)
class Row:
    """One scene. told_error_mm: told height minus true one. value_mm NaN and `why` where nothing was measured.

    scale_error: relative, of mm per pixel at the reference. low_mm, high_mm: the interval given.
    """

    kind: str
    tilt: str
    size: str
    blur: str
    same_plane: bool
    told_error_mm: float
    true_mm: float
    value_mm: float
    u_mm: float
    low_mm: float
    high_mm: float
    scale_error: float
    why: str = ""

    @property
    def answered(self) -> bool:
        return math.isfinite(self.value_mm)


def photo_trial(scenes: int, seed: int, progress: Callable[[int], None] = lambda done: None) -> tuple[Row, ...]:
    """Render and measure so many scenes. Equal arguments give equal rows; progress is told after each scene."""
    rows = []
    for n in range(scenes):
        rows.append(one_scene(n, np.random.default_rng([seed, n])))
        progress(n + 1)
    return tuple(rows)


def one_scene(n: int, rng: np.random.Generator) -> Row:
    """The n-th cell of the plan, filled at random within its classes."""
    kind = KINDS[n % len(KINDS)]
    tilt_class, size_class = TILTS[n // 5 % 3], COIN_PX[n // 15 % 3]
    blurred = bool(n // 45 % 2)
    tilt, depth = float(rng.uniform(*tilt_class)), float(rng.uniform(220, 420))
    size_px = float(rng.uniform(*size_class))
    camera = _camera(kind, tilt, depth, size_px, rng)
    lens = Lens(float(rng.uniform(1.3, 2.2) if blurred else rng.uniform(0.5, 1.0)), 0.1, float(rng.uniform(1, 4)))
    reference = _reference(kind, rng)
    light = Light(float(rng.uniform(-180, 180)), float(rng.uniform(40, 70)), float(rng.uniform(-0.1, 0.3)), 0.95)
    ground = Ground(GROUNDS[int(rng.integers(3))])
    pixels, truth = render(Scene(camera, (), (reference,), ground=ground, light=light, lens=lens, seed=n))
    same = n % SAME_PLANE == 0
    cap = _cap(camera, truth["references"][0], same, rng)
    error = 0.0 if same else _told_error(rng)
    labels = (
        kind, f"{tilt_class[0]:.0f}-{tilt_class[1]:.0f}°", f"{size_class[0]:.0f}-{size_class[1]:.0f} px",
        "blurred" if blurred else "clear",
    )  # fmt: skip
    f35 = camera.f_px * (1 + float(rng.uniform(-0.07, 0.07))) / math.hypot(WIDTH, HEIGHT) * FILM_DIAGONAL_MM
    return _measured(Picture(pixels, f35), truth["references"][0], camera, cap, same, error, labels)


@dataclass(frozen=True, slots=True)
class _Cap:
    """A virtual cap: width, height above the reference's face, drawn ends with their error, their standard error."""

    width_mm: float
    height_mm: float
    a_px: tuple[float, float]
    b_px: tuple[float, float]
    u_end_px: float


def _camera(kind: str, tilt: float, depth: float, size_px: float, rng: np.random.Generator) -> Camera:
    """A narrow view (a crop of a larger photo) in which a coin is `size_px` wide, a ruler or card nearly fills it."""
    f = size_px * depth / 24.26 if kind.startswith("us") else 0.78 * WIDTH * depth / 100.0
    at = Camera.looking_at((0, 0, 1), distance_mm=depth, tilt_deg=tilt, heading_deg=float(rng.uniform(-25, 25)), f_px=f)
    return Camera(at.position_mm, tilt, at.heading_deg, float(rng.uniform(-4, 4)), f, WIDTH, HEIGHT)


def _reference(kind: str, rng: np.random.Generator) -> Coin | Ruler | Card:
    turn, x, y = float(rng.uniform(-30, 30)), float(rng.uniform(-3, 3)), float(rng.uniform(-3, 3))
    if kind == "ruler":
        return Ruler((0.0, 0.0), length_mm=90.0, breadth_mm=25.0, turn_deg=turn / 2)
    if kind == "card":
        return Card((0.0, 0.0), turn_deg=turn)
    coin = coins()[kind]
    colour = (172, 172, 168) if coin.metal == "silver" else (176, 112, 72)
    return Coin((x, y), kind, coin.mm, 1.75, 1.6, colour, turn)


def _cap(camera: Camera, reference: dict[str, Any], same: bool, rng: np.random.Generator) -> _Cap:
    """Width, place and height of the cap; its ends across the view, inclined at random, drawn with errors."""
    width = float(rng.uniform(20, 80))
    height = 0.0 if same else float(rng.uniform(0, 60))
    turn, away = float(rng.uniform(0, 2 * np.pi)), 25 + width / 2
    centre = np.asarray(reference["centre_mm"]) + np.array([away * math.cos(turn), away * math.sin(turn), height])
    view = centre - camera.position_mm
    across = np.cross([0, 0, 1], view)
    across = across / np.linalg.norm(across) if np.linalg.norm(across) > 1e-6 else camera.axes[0]
    forward = view / np.linalg.norm(view)
    lean = math.radians(float(rng.normal(0, INCLINE_DEG)))
    direction = math.cos(lean) * across + math.sin(lean) * forward
    seen = width + float(rng.normal(0, MARGIN_MM))
    ends = camera.project(np.stack([centre - seen / 2 * direction, centre + seen / 2 * direction]))
    u_end = max(0.6, 0.002 * float(np.linalg.norm(ends[1] - ends[0])))
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    a, b = ends + rng.normal(0, u_end, (2, 1)) * along
    return _Cap(width, height, (float(a[0]), float(a[1])), (float(b[0]), float(b[1])), u_end)


def _told_error(rng: np.random.Generator) -> float:
    which = int(rng.choice(len(ERRORS_MM), p=[share for share, _ in ERRORS_MM]))
    return float(rng.uniform(-1, 1)) * ERRORS_MM[which][1]


def _measured(
    picture: Picture,
    truth: dict[str, Any],
    camera: Camera,
    cap: _Cap,
    same: bool,
    error: float,
    labels: tuple[str, ...],
) -> Row:
    kind, tilt, size, blur = labels
    none = (math.nan,) * 5
    found = find_references(picture, kind)
    used = found.used
    if used is None or used.scale is None or used.centre_px is None:
        return Row(kind, tilt, size, blur, same, error, cap.width_mm, *none, why=(found.warnings or ("",))[0])
    height = Height(cap.height_mm + error, 1.5 if same else U_HEIGHT_MM, told=True)
    placing = Placing(incline_deg=INCLINE_DEG, margin_mm=MARGIN_MM, distortion=0.0)
    at = camera.on_plane(np.array([used.centre_px]), truth["centre_mm"], [0, 0, 1])[0]
    scale_error = used.scale.mm_per_px / (float(camera.depth(at)) / camera.f_px) - 1
    try:
        got = between(picture, used, cap.a_px, cap.b_px, height=height, placing=placing, u_end_px=cap.u_end_px)
    except BudgetError as refused:
        return Row(kind, tilt, size, blur, same, error, cap.width_mm, *none, why=str(refused))
    return Row(
        kind, tilt, size, blur, same, error, cap.width_mm, got.value_mm, got.u_mm, got.low_mm, got.high_mm, scale_error
    )
