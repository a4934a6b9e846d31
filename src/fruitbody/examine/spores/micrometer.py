"""The divisions of a stage micrometer in its photo: direction, places of the lines at sub-pixel, and their period."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from fruitbody.examine.spores.errors import CalibrationError
from fruitbody.examine.spores.field import Bytes, evened, surround, telling_channel

Floats = NDArray[np.float32]
Array = NDArray[np.float64]

LEAST_LINES = 6
LEAST_PERIOD_PX = 3.0
TEXTURE = 0.06
"""Scatter of the lines about even spacing, over the period, beyond which it is no scale."""

_WANTED = "Photograph the stage micrometer in focus, with at least six of its lines across the picture."


@dataclass(frozen=True, slots=True)
class Divisions:
    """period_px: of one division; period_u_px: standard uncertainty of it from the scatter of the lines; residuals_px:
    of each line about even spacing; bend: how much the spacing changes from one end to the other, as a share of it;
    angle_deg: direction across the lines, from +x towards +y; lines: how many were found."""

    period_px: float
    period_u_px: float
    residuals_px: tuple[float, ...]
    bend: float
    angle_deg: float

    @property
    def lines(self) -> int:
        return len(self.residuals_px)


def find_divisions(picture: Bytes) -> Divisions:
    """Find the scale in a picture of any orientation. Raises CalibrationError."""
    if picture.dtype != np.uint8 or picture.ndim not in (2, 3) or min(picture.shape[:2]) < 64:
        raise CalibrationError(f"This picture is too small or no picture of bytes. {_WANTED}")
    grey = telling_channel(picture)
    light, _ = evened(grey, surround(grey))
    angle = _direction(light)
    for _ in range(3):
        angle = _refined(light, angle)
    return _spacing(_profile(light, angle), angle)


def _direction(light: Floats) -> float:
    """Across the lines, in degrees: the mean direction of the gradient, with doubled angles since ±gradient are one."""
    smooth = cv2.GaussianBlur(light, (0, 0), 1.5)
    gx, gy = cv2.Sobel(smooth, cv2.CV_32F, 1, 0), cv2.Sobel(smooth, cv2.CV_32F, 0, 1)
    power = gx**2 + gy**2
    strong = power > 0.15 * np.percentile(power, 99.5)
    x, y = float((gx**2 - gy**2)[strong].sum()), float((2 * gx * gy)[strong].sum())
    total = float(power[strong].sum())
    if total <= 0 or math.hypot(x, y) < 0.3 * total:
        raise CalibrationError(f"No parallel lines can be seen in this picture. {_WANTED}")
    return math.degrees(math.atan2(y, x) / 2)


def _turned(light: Floats, angle: float) -> Floats:
    """The picture turned so that the lines stand upright; every pixel keeps its size. Outside it is as bright as the
    field."""
    h, w = light.shape
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    width, height = math.ceil(abs(w * c) + abs(h * s)), math.ceil(abs(w * s) + abs(h * c))
    shift = (width - 1) / 2 - (w - 1) / 2 * c - (h - 1) / 2 * s, (height - 1) / 2 + (w - 1) / 2 * s - (h - 1) / 2 * c
    turn = np.array([[c, s, shift[0]], [-s, c, shift[1]]])
    return np.asarray(cv2.warpAffine(light, turn, (width, height), flags=cv2.INTER_CUBIC, borderValue=0.0))


def _profile(light: Floats, angle: float) -> Array:
    """Light across the lines, averaged along them over the band in which all of them stand."""
    turned = _turned(light, angle)
    steep = np.abs(np.diff(cv2.GaussianBlur(turned, (0, 0), 1.0), axis=1)).sum(axis=1).astype(np.float64)
    width = max(3, len(steep) // 60)
    energy = np.convolve(steep, np.ones(width) / width, "same")
    band = energy > 0.6 * np.percentile(energy, 98)
    return np.asarray(turned[band].mean(axis=0), dtype=np.float64)


def _refined(light: Floats, angle: float) -> float:
    """The angle at which the profile is sharpest, by a parabola through three."""
    step = 0.15
    sharp = [float(np.square(np.diff(_profile(light, angle + k * step))).mean()) for k in (-1, 0, 1)]
    bend = sharp[0] - 2 * sharp[1] + sharp[2]
    shift = 0.5 * (sharp[0] - sharp[2]) / bend if bend < 0 else math.copysign(1, sharp[2] - sharp[0])
    return angle + step * max(-1.5, min(1.5, shift))


def _spacing(profile: Array, angle: float) -> Divisions:
    """Even spacing fitted to the lines' places, lines that stand off it left out. Raises CalibrationError."""
    rough = _period(profile)
    places = _lines(profile, rough)
    if len(places) < LEAST_LINES:
        raise CalibrationError(f"Only {len(places)} lines of a scale were found. {_WANTED}")
    steps = np.diff(places)
    period = float(np.median(steps[(steps > 0.6 * rough) & (steps < 1.4 * rough)])) if rough else float("nan")
    index = np.cumsum(np.concatenate([[0], np.rint(steps / period)]))
    keep = np.ones(len(places), dtype=bool)
    for _ in range(3):
        slope, start = np.polyfit(index[keep], places[keep], 1)
        residual = places - start - slope * index
        scatter = float(np.median(np.abs(residual[keep]))) / 0.6745
        keep = np.abs(residual) <= max(3.5 * scatter, 0.08)
        if np.count_nonzero(keep) < LEAST_LINES:
            raise CalibrationError(f"The lines found are not evenly spaced. {_WANTED}")
    return _fitted(index[keep], places[keep], angle)


def _fitted(index: Array, places: Array, angle: float) -> Divisions:
    slope, start = np.polyfit(index, places, 1)
    residual = places - start - slope * index
    scatter = math.sqrt(float(np.sum(residual**2)) / (len(index) - 2))
    if scatter > TEXTURE * slope or slope < LEAST_PERIOD_PX:
        raise CalibrationError(f"The lines found are not evenly spaced. {_WANTED}")
    centred = index - index.mean()
    u = scatter / math.sqrt(float(np.sum(centred**2)))
    # Of lines bent over the field (distortion) the spacing at the ends differs by twice the quadratic term.
    bend = float(np.polyfit(centred, places, 2)[0]) * 2 * float(np.ptp(centred)) / slope if len(index) > 8 else 0.0
    turn = angle % 180.0
    return Divisions(float(slope), u, tuple(round(float(r), 3) for r in residual), bend, turn)


def _period(profile: Array) -> float:
    """The period in pixels from the autocorrelation: its first peak of at least 0.6 of the highest one beyond zero."""
    x = profile - cv2.GaussianBlur(profile[None, :], (0, 0), max(8.0, len(profile) / 12))[0]
    n = len(x)
    spectrum = np.fft.rfft(x, 2 * n)
    power = np.fft.irfft(np.abs(spectrum) ** 2)[: n // 2] / np.maximum(n - np.arange(n // 2), 1)
    power = power / max(power[0], 1e-12)
    inner = power[1:-1]
    peaks = np.flatnonzero((inner >= power[:-2]) & (inner > power[2:]) & (np.arange(1, len(power) - 1) >= 3)) + 1
    if len(peaks) == 0 or power[peaks].max() < 0.15:
        raise CalibrationError(f"No even scale can be seen in this picture. {_WANTED}")
    return float(peaks[power[peaks] >= 0.6 * power[peaks].max()][0])


def _lines(profile: Array, period: float) -> Array:
    """Middles of the lines in pixels: centres of gravity of what stands out from the field, dark or bright."""
    base = np.array(
        [np.median(profile[max(0, i - int(2 * period)) : i + int(2 * period) + 1]) for i in range(len(profile))]
    )
    off = profile - base
    sign = -1.0 if -np.percentile(off, 1) > np.percentile(off, 99) else 1.0
    off = np.maximum(off * sign, 0)
    smooth = cv2.GaussianBlur(off[None, :], (0, 0), max(0.8, period / 12))[0]
    top = float(np.percentile(smooth[smooth > 0.3 * smooth.max()], 60)) if smooth.max() > 0 else 1.0
    half = max(2, round(period * 0.3))
    found = []
    for i in range(half, len(profile) - half):
        window = smooth[i - half : i + half + 1]
        if smooth[i] >= 0.35 * top and smooth[i] == window.max():
            weight = np.maximum(off[i - half : i + half + 1] - 0.15 * off[i], 0)
            found.append(float(np.sum(weight * np.arange(i - half, i + half + 1)) / np.sum(weight)))
    return np.array(found)
