"""From pixels to millimetres, with the uncertainty by source: one pinhole model for every kind of reference.

What a reference gives is its scale: `size_mm` millimetres are `major_px` pixels, where nothing shortens them. A part
that lies nearer to the camera than the reference looks larger by a known sign, so it is corrected for and not only
widened for. Every term is kept by source, because two lengths from one photo share the reference.

Method: law of propagation and Monte Carlo of JCGM 100:2008 (GUM) and JCGM 101:2008; a margin that is itself not defined
better than about a millimetre is the definitional uncertainty of GUM annex D.1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Lie = Literal["across", "plane"]

FILM_DIAGONAL_MM: Final = 43.267  # of 36 x 24 mm, to which the equivalent focal length refers
USUAL_F35_MM: Final = 26.0  # the main camera of a phone, where the photo does not say (common practice)
U_FOCAL: Final = 0.04  # relative, of a focal length that the camera wrote
U_FOCAL_VOID: Final = 0.40  # relative, after cropping, digital zoom or a chat program's resize
SMALL_TILT_DEG: Final = 15.0  # below it the minor axis says nothing useful about the tilt
ASYMMETRIC_FROM: Final = 0.20  # expanded over value, above which the interval comes from Monte Carlo
NEAR_MM: Final = 150.0  # nearer than this the perspective of the ellipse itself counts


class BudgetError(ValueError):
    """A length that cannot be computed from what is given. The message is a sentence that says what to do."""


@dataclass(frozen=True, slots=True)
class Lens:
    """f_px: focal length in pixels of this photo; u: relative standard uncertainty; void: the photo does not say."""

    f_px: float
    u: float = U_FOCAL
    void: bool = False


@dataclass(frozen=True, slots=True)
class Scale:
    """What a reference gives: `size_mm` is `major_px` where tilt does not shorten it, `minor_px` where it does most.

    u_*: standard uncertainties in the same unit. angle_deg: direction of the major axis. minor_px None: not known.
    """

    size_mm: float
    u_size_mm: float
    major_px: float
    u_major_px: float
    minor_px: float | None = None
    u_minor_px: float = 0.0
    angle_deg: float = 0.0

    @property
    def mm_per_px(self) -> float:
        return self.size_mm / self.major_px

    @property
    def u_mm_per_px(self) -> float:
        """Standard uncertainty of the scale at the reference's own depth."""
        return self.mm_per_px * math.hypot(self.u_size_mm / self.size_mm, self.u_major_px / self.major_px)

    @property
    def tilt_deg(self) -> float | None:
        """Angle between the plane of the reference and the picture; its sign is not determined."""
        if self.minor_px is None:
            return None
        return math.degrees(math.acos(min(1.0, self.minor_px / self.major_px)))

    @property
    def u_tilt_deg(self) -> float | None:
        """Standard uncertainty of the tilt, None below 15 degrees, where it explodes."""
        tilt = self.tilt_deg
        if tilt is None or self.minor_px is None or tilt < SMALL_TILT_DEG:
            return None
        ratio = self.minor_px / self.major_px
        u_ratio = math.hypot(self.u_minor_px, ratio * self.u_major_px) / self.major_px
        return math.degrees(u_ratio / math.sin(math.radians(tilt)))


@dataclass(frozen=True, slots=True)
class Placing:
    """How the measured part lies to the reference.

    nearer_mm: how much nearer to the camera than the reference (negative: farther), with its standard uncertainty.
    lie: "across" the view, or in the "plane" of the reference. incline_deg: standard deviation of an unknown
    inclination to the picture, across only. margin_mm: how well the ends of the part are defined at all.
    distortion: relative, of the lens.
    """

    nearer_mm: float = 0.0
    u_nearer_mm: float = 15.0
    lie: Lie = "across"
    incline_deg: float = 8.0
    margin_mm: float = 0.8
    distortion: float = 0.004


@dataclass(frozen=True, slots=True)
class Share:
    """One source: its standard uncertainty in the length, mm, and its share of the variance (0 to 1)."""

    source: str
    u_mm: float
    share: float


@dataclass(frozen=True, slots=True)
class Length:
    """A length in mm, its standard uncertainty, the interval of about 95 %, and the budget, largest source first.

    low_mm, high_mm: value minus and plus two standard uncertainties, or from Monte Carlo where `asymmetric`.
    """

    value_mm: float
    u_mm: float
    low_mm: float
    high_mm: float
    budget: tuple[Share, ...]
    asymmetric: bool = False

    @property
    def expanded_mm(self) -> float:
        """Expanded uncertainty, k = 2."""
        return 2 * self.u_mm

    def in_words(self) -> str:
        """For the finder: halves of a centimetre, with the "about" that belongs to it."""
        if self.value_mm < 10:
            return f"about {round(self.value_mm):.0f} mm"
        step = 0.5 if self.value_mm < 30 else 1.0
        return f"about {math.floor(self.value_mm / 10 / step + 0.5) * step:g} cm"


def lens_of(f35_mm: float | None, width_px: int, height_px: int, *, void: bool = False) -> Lens:
    """The focal length in pixels from the equivalent one on film; without it, or where `void`, a usual phone's."""
    diagonal = math.hypot(width_px, height_px)
    if f35_mm is None or void:
        return Lens(USUAL_F35_MM / FILM_DIAGONAL_MM * diagonal, U_FOCAL_VOID, True)
    return Lens(f35_mm / FILM_DIAGONAL_MM * diagonal)


def distance_mm(scale: Scale, lens: Lens) -> tuple[float, float]:
    """Distance of the reference along the optical axis and its standard uncertainty, mm."""
    z = lens.f_px * scale.mm_per_px
    return z, z * math.hypot(lens.u, scale.u_mm_per_px / scale.mm_per_px)


def perspective_excess(scale: Scale, lens: Lens) -> float:
    """Relative excess of a disc's major axis by its own perspective, (r sin tilt / Z)^2 / 2; 0 from 150 mm on."""
    z, _ = distance_mm(scale, lens)
    tilt = scale.tilt_deg
    if z >= NEAR_MM or tilt is None or tilt < SMALL_TILT_DEG:
        return 0.0
    return (scale.size_mm / 2 * math.sin(math.radians(tilt)) / z) ** 2 / 2


def length(
    segment_px: float,
    u_end_px: float,
    *,
    scale: Scale,
    lens: Lens,
    placing: Placing = Placing(),
    segment_deg: float | None = None,
    seed: int = 1,
) -> Length:
    """Length of a drawn segment with its budget.

    u_end_px: standard uncertainty of each drawn end. segment_deg: its direction, wanted in the reference's plane.
    seed: of the Monte Carlo interval, used where the expanded uncertainty is above a fifth of the value.
    Raises BudgetError.
    """
    if not segment_px > 0:
        raise BudgetError("The two ends are the same point. Draw the line again.")
    if placing.lie == "plane":
        value, terms = _in_plane(segment_px, u_end_px, scale, placing, segment_deg)
    else:
        value, terms = _across(segment_px, u_end_px, scale, lens, placing)
    terms |= {"margin": placing.margin_mm, "distortion": placing.distortion * value}
    u = math.sqrt(sum(t * t for t in terms.values()))
    shares = (Share(name, abs(t), t * t / (u * u) if u else 0.0) for name, t in terms.items())
    budget = tuple(sorted(shares, key=lambda s: -s.u_mm))
    if 2 * u <= ASYMMETRIC_FROM * value:
        return Length(value, u, value - 2 * u, value + 2 * u, budget)
    drawn = simulate(
        segment_px, u_end_px, scale=scale, lens=lens, placing=placing, segment_deg=segment_deg, n=40_000, seed=seed
    )
    low, high = np.quantile(drawn, (0.025, 0.975))
    return Length(value, u, max(0.0, float(low)), float(high), budget, asymmetric=True)


def _across(p: float, u_end: float, scale: Scale, lens: Lens, placing: Placing) -> tuple[float, dict[str, float]]:
    """l = p (D/A - dz/f) K with K = 1 + s^2/2 of the unknown inclination; the terms are its partial derivatives."""
    z, _ = distance_mm(scale, lens)
    if placing.nearer_mm >= 0.9 * z:
        raise BudgetError(
            f"The part cannot be {placing.nearer_mm:.0f} mm nearer than the reference, which lies about {z:.0f} mm "
            "from the camera. Check the height, or the size of the reference."
        )
    incline = math.radians(placing.incline_deg)
    k = 1 + incline**2 / 2
    d, a, f = scale.size_mm, scale.major_px, lens.f_px
    local = d / a - placing.nearer_mm / f
    value = p * local * k
    return value, {
        "depth mismatch": p * k * placing.u_nearer_mm / f,
        "inclination": p * local * incline**2 / math.sqrt(2),
        "drawn ends": local * k * math.sqrt(2) * u_end,
        "ellipse axis": p * k * d * scale.u_major_px / a**2,
        "focal length": p * k * placing.nearer_mm * lens.u / f,
        "reference": p * k * scale.u_size_mm / a,
    }


def _in_plane(
    p: float, u_end: float, scale: Scale, placing: Placing, segment_deg: float | None
) -> tuple[float, dict[str, float]]:
    """l = D p sqrt(cos^2/A^2 + sin^2/b^2), the angle counted from the major axis; the minor axis from 15 degrees."""
    if segment_deg is None:
        raise BudgetError("In the plane of the reference the direction of the line matters. Give it too.")
    phi = math.radians(segment_deg - scale.angle_deg)
    c2, s2 = math.cos(phi) ** 2, math.sin(phi) ** 2
    d, a, tilt = scale.size_mm, scale.major_px, scale.tilt_deg
    if tilt is None or scale.minor_px is None:
        raise BudgetError("This reference does not tell how its plane lies. Use a coin or a card, or measure across.")
    if tilt < SMALL_TILT_DEG:
        value = p * d / a
        terms = {
            "ellipse axis": value * scale.u_major_px / a,
            # Between 0 and 15 degrees nothing better is known: the whole reach over the root of three.
            "tilt not resolved": value * s2 * (1 / math.cos(math.radians(SMALL_TILT_DEG)) - 1) / math.sqrt(3),
        }
    else:
        b = scale.minor_px
        value = d * p * math.sqrt(c2 / a**2 + s2 / b**2)
        by_axis = (d * p) ** 2 / value
        terms = {
            "ellipse axis": math.hypot(by_axis * c2 / a**3 * scale.u_major_px, by_axis * s2 / b**3 * scale.u_minor_px)
        }
    return value, terms | {
        "drawn ends": value / p * math.sqrt(2) * u_end,
        "reference": value * scale.u_size_mm / d,
    }


def simulate(
    segment_px: float,
    u_end_px: float,
    *,
    scale: Scale,
    lens: Lens,
    placing: Placing,
    segment_deg: float | None = None,
    n: int = 200_000,
    seed: int = 1,
) -> Floats:
    """Draws of the length (n) from the same model without linearising it (JCGM 101). All inputs normal."""
    rng = np.random.default_rng(seed)
    d = rng.normal(scale.size_mm, scale.u_size_mm, n)
    a = rng.normal(scale.major_px, scale.u_major_px, n)
    p = rng.normal(segment_px, math.sqrt(2) * u_end_px, n)
    if placing.lie == "plane":
        phi = math.radians((segment_deg or 0.0) - scale.angle_deg)
        b = a if (scale.tilt_deg or 0.0) < SMALL_TILT_DEG else rng.normal(scale.minor_px or 1.0, scale.u_minor_px, n)
        drawn = d * p * np.sqrt((math.cos(phi) / a) ** 2 + (math.sin(phi) / b) ** 2)
    else:
        # A focal length known to 40 % would be drawn near and below zero: its logarithm is normal instead.
        spread = math.sqrt(math.log1p(lens.u**2))
        f = rng.normal(lens.f_px, lens.u * lens.f_px, n) if lens.u < 0.2 else lens.f_px * rng.lognormal(0, spread, n)
        nearer = rng.normal(placing.nearer_mm, placing.u_nearer_mm, n)
        incline = rng.normal(0.0, math.radians(placing.incline_deg), n)
        drawn = p * (d / a - nearer / f) / np.cos(incline)
    drawn = drawn * rng.normal(1.0, placing.distortion, n) + rng.normal(0.0, placing.margin_mm, n)
    return drawn


def ratio_u(
    first: Length, second: Length, shared: tuple[str, ...] = ("ellipse axis", "reference", "focal length")
) -> float:
    """Relative standard uncertainty of first / second, two lengths of one photo: what both share cancels.

    Add "depth mismatch" to `shared` where both parts lie at the same height.
    """
    total = 0.0
    for one in (first, second):
        total += sum((s.u_mm / one.value_mm) ** 2 for s in one.budget if s.source not in shared)
    return math.sqrt(total)
