"""A photo of a stage micrometer of known truth, for tests and demo: lines of three lengths, turned, blurred, noisy."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class ScaleSetting:
    """period_px: of one division; angle_deg: across the lines; line_px: breadth of a line; blur_px: σ; noise: of grey
    values; bend: share by which the spacing grows from one end to the other; lines: how many; bright: on dark."""

    period_px: float
    angle_deg: float = 0.0
    line_px: float = 2.0
    blur_px: float = 1.2
    noise: float = 3.0
    bend: float = 0.0
    lines: int = 41
    bright: bool = False
    width_px: int = 1600
    height_px: int = 1200
    seed: int = 1


def draw_scale(setting: ScaleSetting) -> NDArray[np.uint8]:
    """The picture as grey values [height, width]. Every tenth line is long, every fifth of middle length."""
    y, x = np.mgrid[0 : setting.height_px, 0 : setting.width_px].astype(np.float64)
    c, s = math.cos(math.radians(setting.angle_deg)), math.sin(math.radians(setting.angle_deg))
    dx, dy = x - setting.width_px / 2 + 3.3, y - setting.height_px / 2 - 1.7
    across, along = dx * c + dy * s, dy * c - dx * s
    ink = np.zeros_like(x)
    half, reach = (setting.lines - 1) / 2, 0.08 * setting.height_px
    for k in range(setting.lines):
        i = k - half
        place = setting.period_px * (i + setting.bend * i**2 / (4 * half))
        size = reach * (2.0 if k % 10 == 0 else 1.5 if k % 5 == 0 else 1.0)
        cover = np.clip((setting.line_px + 1) / 2 - np.abs(across - place), 0, 1)
        ink = np.maximum(ink, cover * np.clip(size - along, 0, 1) * np.clip(along + reach, 0, 1))
    ink = cv2.GaussianBlur(ink, (0, 0), setting.blur_px) if setting.blur_px > 0 else ink
    field, line = (40.0, 190.0) if setting.bright else (205.0, 45.0)
    light = (field + (line - field) * ink) * (1 - 0.15 * (x / setting.width_px - 0.5))
    light += np.random.default_rng(setting.seed).normal(0, setting.noise, light.shape)
    return np.asarray(np.clip(np.rint(light), 0, 255), dtype=np.uint8)
