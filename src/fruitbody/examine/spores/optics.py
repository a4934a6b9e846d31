"""How a bright-field microscope shows a thin body: partially coherent imaging of a complex transmission.

The condenser is a disc of incoherent points; each lights the body with a tilted plane wave, the objective passes the
spatial frequencies within its aperture and adds the phase of defocus, and the intensities are summed (Abbe's method;
Goodman, Introduction to Fourier Optics; from memory). Halos, the bright line along edges and the exchange of dark and
bright above and below focus come out of this by themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Optics:
    """um_per_px: of the camera's pixels in the object. aperture: numerical aperture of the objective; condenser: its
    aperture as a share of that; wavelength_um: in vacuum; index: of the mountant; points: of the condenser's disc."""

    um_per_px: float
    aperture: float = 0.95
    condenser: float = 0.6
    wavelength_um: float = 0.55
    index: float = 1.33
    points: int = 9

    @property
    def depth_um(self) -> float:
        """Depth of field by diffraction, n λ / NA²: ± half of it is sharp."""
        return self.index * self.wavelength_um / self.aperture**2

    @property
    def fine(self) -> int:
        """Samples per camera pixel: bodies are drawn and imaged finer than the camera where its pixels are coarse."""
        return max(1, math.ceil(self.um_per_px * 4 * self.aperture * (1 + self.condenser) / self.wavelength_um / 1.5))


GOOD_SIDES: tuple[int, ...] = tuple(
    sorted({2**a * 3**b * 5**c for a in range(2, 11) for b in range(3) for c in range(2) if 2**a * 3**b * 5**c <= 2048})
)
"""Sides of patches that the Fourier transform takes quickly; all multiples of 4."""


def good_side(pixels: float) -> int:
    """The smallest quick side of at least so many pixels; the largest of all beyond that."""
    return next((side for side in GOOD_SIDES if side >= pixels), GOOD_SIDES[-1])


def grid(size: int, optics: Optics) -> tuple[Array, Array]:
    """x and y in µm at the fine samples of a square patch of `size` camera pixels, 0 at its centre."""
    n = size * optics.fine
    line = (np.arange(n) - (n - 1) / 2) * optics.um_per_px / optics.fine
    x, y = np.meshgrid(line, line)
    return x, y


def coarse(fine: Array, optics: Optics) -> Array:
    """From the fine grid to camera pixels, by the mean over each."""
    k, size = optics.fine, fine.shape[0] // optics.fine
    return np.asarray(fine.reshape(size, k, size, k).mean(axis=(1, 3)), dtype=np.float64)


def image(phase: Array, absorption: Array, defocus_um: float, optics: Optics) -> Array:
    """Intensity over that of the empty field, [size, size] in camera pixels.

    phase: radians; absorption: natural optical density; both [n, n] on the fine grid. defocus_um: how far the body lies
    above the plane in focus.
    """
    spectrum = np.fft.fft2(np.exp(1j * phase - absorption / 2).astype(np.complex64))
    total = np.zeros(phase.shape, dtype=np.float32)
    pupils = _pupils(phase.shape[0], optics, round(defocus_um, 1))
    for pupil in pupils:
        field = np.fft.ifft2(spectrum * pupil)
        total += field.real**2 + field.imag**2
    return coarse(total / len(pupils), optics)


@lru_cache(maxsize=64)
def _pupils(n: int, optics: Optics, defocus_um: float) -> tuple[NDArray[np.complex64], ...]:
    """One shifted pupil with the phase of defocus per point of the condenser."""
    f = np.fft.fftfreq(n, optics.um_per_px / optics.fine).astype(np.float32)
    cut, wave = optics.aperture / optics.wavelength_um, optics.wavelength_um / optics.index
    found = []
    for sx, sy in _disc(optics.points) * optics.condenser * cut:
        square = (f[None, :] + sx) ** 2 + (f[:, None] + sy) ** 2
        # A soft rim of one sample keeps a coarse grid from cutting the aperture in steps.
        rim = np.clip((cut - np.sqrt(square)) / (f[1] - f[0]) + 0.5, 0, 1)
        axial = np.sqrt(np.maximum(1 / wave**2 - square, 0)) - math.sqrt(max(1 / wave**2 - sx**2 - sy**2, 0))
        found.append((rim * np.exp(2j * math.pi * defocus_um * axial)).astype(np.complex64))
    return tuple(found)


def _disc(points: int) -> Array:
    """So many points spread evenly over the unit disc (a sunflower)."""
    i = np.arange(points) + 0.5
    radius, angle = np.sqrt(i / points), i * math.pi * (3 - math.sqrt(5))
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
