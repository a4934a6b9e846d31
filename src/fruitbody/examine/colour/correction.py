"""Taking the light out: by a marked white or grey place, or by the patches of the card.

A correction multiplies linear light; what it leaves in doubt is a covariance of ln R, G, B. The widths below are
chosen by us, not measured on phones; the rendered scenes test them, real photos should.

    kind     gains from                         left in doubt
    none     nothing                            strength and warmth of the light
    grey     a place without colour of its own  strength of the light
    white    a place of known colour, as paper  what the white really is
    card     several patches of known colour    what they disagree by
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt

from fruitbody.examine.colour.ciede2000 import difference
from fruitbody.examine.colour.spaces import TO_XYZ, ColourError, Floats, Lab, lab_of_linear, linear_of_lab, slopes

ROUNDED: Final = 0.22
"""ln of the light on a part that faces it otherwise than the reference does, standard."""
FLAT: Final = 0.05
"""The same where both lie flat side by side."""
STRENGTH: Final = 0.40
"""ln of the light where nothing tells how the camera exposed."""
WARMTH: Final = 0.12
"""ln of red up and blue down (or the reverse) where nothing tells how the camera balanced white."""
TINT: Final = 0.04
"""ln of each channel by itself, left by any correction: mixed light, reflections from moss and leaves."""

PAPER: Final[Lab] = (94.0, 0.0, 1.0)
"""White writing paper in daylight (from memory: L 92 to 96, bluish when brightened, yellowish when not)."""
PAPER_U: Final = (2.0, 1.0, 2.5)
"""Standard uncertainty of L, a, b of an unknown white paper (chosen by us)."""
NEUTRAL_U: Final = 1.5
"""Standard uncertainty of a and b of a place that someone calls grey (chosen by us)."""
PRINTED_U: Final = 2.0
"""Standard uncertainty per axis of a printed patch that nobody has measured (chosen by us)."""

_BURNT: Final = 0.98  # linear light of code 253
MATRIX_FROM: Final = 8
"""Patches that a 3 × 3 fit needs, three of them clearly coloured."""


@dataclass(frozen=True, slots=True)
class Sample:
    """The light of a disc: mean linear sRGB (3,), spread in Lab (3, 3), counts, shares cut off per channel (3,)."""

    light: Floats
    spread: Floats
    pixels: int
    used: int
    glare: int
    shadow: int
    burnt: Floats
    black: Floats


@dataclass(frozen=True, slots=True)
class Correction:
    """matrix: corrected light = matrix @ light, (3, 3); doubt: covariance of ln R, G, B left, (3, 3), standard;
    residuals: ΔE00 of each patch of a card after the fit."""

    kind: str
    matrix: Floats
    doubt: Floats
    residuals: Floats = field(default_factory=lambda: np.zeros(0))
    warnings: tuple[str, ...] = ()


_WARM: Final = np.array([1.0, 0.0, -1.0])
NONE: Final = Correction(
    "none", np.eye(3), STRENGTH**2 * np.ones((3, 3)) + WARMTH**2 * np.outer(_WARM, _WARM) + TINT**2 * np.eye(3)
)


def by_white(white: Sample, true: Lab = PAPER, *, u: Lab = PAPER_U) -> Correction:
    """Gains that turn the marked white into its true colour. Raises ColourError for a white that tells nothing."""
    if white.burnt.max() > 0.5:
        raise ColourError(
            "The marked white is burnt out, so it does not tell the light. Mark a white place that still has a shade."
        )
    if white.light.min() < 0.02:
        raise ColourError("The marked white is nearly black. Mark a white place in the same light as the patch.")
    target = linear_of_lab(true)
    back = np.linalg.inv(slopes(target))
    said = []
    if white.burnt.max() > 0.01:
        said.append("Part of the marked white is burnt out, so the colour may be too dark. Mark another place of it.")
    if white.light.max() > 2.5 * white.light.min():
        said.append("The marked white is strongly coloured. Make sure that it is white and in the same light.")
    doubt = back @ np.diag(np.square(u)) @ back.T + TINT**2 * np.eye(3) + np.square(0.2 * white.burnt.max()) * np.eye(3)
    return Correction("white", np.diag(target / white.light), doubt, warnings=tuple(said))


def by_grey(grey: Sample) -> Correction:
    """Gains that take the colour out of the marked grey and leave its lightness. Raises ColourError as `by_white`."""
    if grey.burnt.max() > 0.5 or grey.light.min() < 0.005:
        raise ColourError(
            "The marked grey is burnt out or black, so it does not tell the light. Mark a grey place between the two."
        )
    luminance = float(grey.light @ TO_XYZ[1])
    back = np.linalg.inv(slopes(np.full(3, luminance)))
    doubt = back @ np.diag([0.0, NEUTRAL_U**2, NEUTRAL_U**2]) @ back.T
    return Correction(
        "grey", np.diag(luminance / grey.light), doubt + STRENGTH**2 * np.ones((3, 3)) + TINT**2 * np.eye(3)
    )


def by_card(measured: npt.ArrayLike, true: npt.ArrayLike, *, u: float = PRINTED_U) -> Correction:
    """Fit the light to patches of known colour.

    measured, true: CIELAB (n, 3), at least two patches; u: standard uncertainty of a patch's true colour per axis.
    One gain per channel; a 3 × 3 matrix instead where there are MATRIX_FROM patches and leaving one out at a time shows
    that it predicts clearly better. Patches that are burnt out are left out. Raises ColourError for lists that do not
    match, or where fewer than two patches remain.
    """
    seen, known = _light(measured), _light(true)
    if seen.shape != known.shape or len(seen) < 2:
        raise ColourError("The card needs at least two patches, each with its measured and its true colour.")
    patches = np.asarray(true, dtype=np.float64)
    whole = seen.max(axis=1) < _BURNT
    if whole.sum() < 2:
        raise ColourError("The card is burnt out, so it does not tell the light. Take the photo again with less light.")
    seen, known, patches = seen[whole], known[whole], patches[whole]
    coloured = int((np.hypot(patches[:, 1], patches[:, 2]) > 15).sum())
    fit, fitted_numbers = _gains, 1
    if len(seen) >= MATRIX_FROM and coloured >= 3:
        alone, mixed = (_left_out(one, seen, known, patches) for one in (_gains, _mixed))
        fit, fitted_numbers = (_mixed, 3) if mixed < 0.8 * alone else (_gains, 1)
    matrix = fit(seen, known)
    fitted = seen @ matrix.T
    # What the patches are off by, relative to the light, a colour of the photo may be off by as well.
    away = (fitted - known) / (known + 0.02)
    lightness = float(patches[:, 0].mean())
    doubt = away.T @ away / (len(seen) - fitted_numbers) + (3 * u / (lightness + 16)) ** 2 / len(seen) * np.eye(3)
    residuals = difference(lab_of_linear(fitted), patches)
    said: tuple[str, ...] = ()
    if float(np.sqrt(np.mean(residuals**2))) > 6:
        said = ("The card's patches disagree with one another: a shadow on it, glare, or a printer that is far off.",)
    return Correction("card", matrix, doubt + TINT**2 * np.eye(3), residuals, said)


def _light(lab: npt.ArrayLike) -> Floats:
    values = np.asarray(lab, dtype=np.float64)
    if values.ndim != 2 or values.shape[1] != 3 or not np.isfinite(values).all():
        raise ColourError("The card's patches are a list of colours with three numbers each: L, a and b.")
    return np.maximum(linear_of_lab(values), 1e-4)


def _weight(known: Floats) -> Floats:
    """Errors count relative to the light, so that dark patches are not ignored."""
    return np.asarray(1 / (known + 0.02))


def _gains(seen: Floats, known: Floats) -> Floats:
    w = _weight(known) ** 2
    return np.diag((w * seen * known).sum(axis=0) / (w * seen * seen).sum(axis=0))


def _mixed(seen: Floats, known: Floats) -> Floats:
    """3 × 3 by weighted least squares, one weight a patch."""
    w = _weight(known.mean(axis=1, keepdims=True))
    solved, *_ = np.linalg.lstsq(w * seen, w * known, rcond=None)
    return np.asarray(solved.T)


def _left_out(fit: Callable[[Floats, Floats], Floats], seen: Floats, known: Floats, true: Floats) -> float:
    """Root mean square ΔE00 of each patch under a fit to the others."""
    rows = range(len(seen))
    guess = [seen[k] @ fit(np.delete(seen, k, axis=0), np.delete(known, k, axis=0)).T for k in rows]
    return float(np.sqrt(np.mean(difference(lab_of_linear(np.array(guess)), true) ** 2)))
