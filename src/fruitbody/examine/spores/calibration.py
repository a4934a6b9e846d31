"""Micrometres per pixel from a stage micrometer, kept per microscope, objective, camera and zoom.

Every length inherits the calibration's relative uncertainty; it does not fall with the number of spores.
"""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

from fruitbody.examine.spores.errors import CalibrationError
from fruitbody.examine.spores.field import Bytes
from fruitbody.examine.spores.micrometer import Divisions, find_divisions

DIVISION_UM = (0.5, 2000.0)
MICROMETER_U = 0.001
"""Relative standard uncertainty of the micrometer's own divisions (common practice for one of glass; take the value of
its certificate where there is one)."""

OLD_DAYS = 365
"""A calibration older than this is pointed out."""


@dataclass(frozen=True, slots=True)
class Setup:
    """The chain that fixes the size of a pixel; all as the clinic names them. zoom: of the relay or of a phone, ''
    where there is none."""

    microscope: str
    objective: str
    camera: str
    zoom: str = ""


@dataclass(frozen=True, slots=True)
class Calibration:
    """um_per_px with its relative standard uncertainty; width_px, height_px: of the picture it was made from; made_on
    and person: when and by whom; divisions: what was found in the picture."""

    setup: Setup
    um_per_px: float
    relative_u: float
    division_um: float
    width_px: int
    height_px: int
    made_on: datetime.date
    person: str
    divisions: Divisions

    @property
    def expanded_um_per_px(self) -> float:
        """Expanded uncertainty (k = 2) of µm per pixel."""
        return 2 * self.relative_u * self.um_per_px


@dataclass(frozen=True, slots=True)
class Scale:
    """What one picture of a micrometer gives, its divisions being `division_um` apart.

    relative_u: standard, relative, from `parts`: the lines' scatter, the bend of the field, the micrometer itself.
    """

    um_per_px: float
    relative_u: float
    division_um: float
    parts: tuple[tuple[str, float], ...]
    divisions: Divisions
    remarks: tuple[str, ...]


def read_scale(picture: Bytes, division_um: float, *, micrometer_u: float = MICROMETER_U) -> Scale:
    """µm per pixel from a picture of a stage micrometer whose divisions are `division_um` apart.

    micrometer_u: relative standard uncertainty of the divisions. Raises CalibrationError.
    """
    low, high = DIVISION_UM
    if not low <= division_um <= high:
        hint = " It looks like millimetres: 0.01 mm are 10 µm." if 0 < division_um < low else ""
        raise CalibrationError(
            f"A division of {division_um:g} µm cannot be: stage micrometers have {low:g} to {high:g} µm.{hint}"
        )
    found = find_divisions(picture)
    parts = (
        ("scatter of the lines", found.period_u_px / found.period_px),
        # Even over the field from one end to the other: a rectangular distribution of that width.
        ("bend of the field", abs(found.bend) / math.sqrt(12)),
        ("the micrometer itself", micrometer_u),
    )
    relative_u = math.sqrt(sum(u**2 for _, u in parts))
    return Scale(division_um / found.period_px, relative_u, division_um, parts, found, _remarks(found))


def _remarks(found: Divisions) -> tuple[str, ...]:
    words = []
    if found.lines < 11:
        words.append(f"Only {found.lines} lines were found; more of them across the picture give a better value.")
    if abs(found.bend) > 0.01:
        words.append(
            f"The divisions grow or shrink by {abs(found.bend):.1%} across the picture: measure near its middle."
        )
    return tuple(words)


def calibration(
    scale: Scale, setup: Setup, *, size_px: tuple[int, int], made_on: datetime.date, person: str
) -> Calibration:
    """The entry that is kept. size_px: (width, height) of the picture of the micrometer."""
    return Calibration(
        setup=setup,
        um_per_px=scale.um_per_px,
        relative_u=scale.relative_u,
        division_um=scale.division_um,
        width_px=size_px[0],
        height_px=size_px[1],
        made_on=made_on,
        person=person,
        divisions=scale.divisions,
    )


def calibration_warnings(
    kept: Calibration | None, setup: Setup, *, size_px: tuple[int, int], today: datetime.date
) -> tuple[str, ...]:
    """What speaks against using a calibration for a picture of `size_px` (width, height) taken with `setup`: none for
    this set-up, another set-up, another size of picture, age. Empty where nothing does."""
    if kept is None:
        return (
            "This set-up has no calibration: lengths stay in pixels. Photograph the stage micrometer with it first.",
        )
    words = []
    if kept.setup != setup:
        words.append(
            f"The calibration is of {_named(kept.setup)}, the picture of {_named(setup)}. Calibrate this set-up."
        )
    words += _size_words((kept.width_px, kept.height_px), size_px)
    age = (today - kept.made_on).days
    if age < 0:
        words.append(f"The calibration is dated {kept.made_on.isoformat()}, after the picture. Mend the date.")
    elif age > OLD_DAYS:
        words.append(f"The calibration is {age} days old. Photograph the stage micrometer again.")
    return tuple(words)


def _size_words(made: tuple[int, int], size: tuple[int, int]) -> list[str]:
    """A picture of another size was cropped or scaled; which of them decides whether µm per pixel still holds."""
    if made == size or made == size[::-1]:
        return []
    factors = (size[0] / made[0], size[1] / made[1])
    told = f"The picture has {size[0]} × {size[1]} pixels, the calibration {made[0]} × {made[1]}."
    if abs(factors[0] - factors[1]) < 0.01 * factors[0]:
        return [
            f"{told} It seems scaled: µm per pixel would be {1 / factors[0]:.3g} times as many. Use the camera's file."
        ]
    return [f"{told} It was cropped or comes from another camera. Use the camera's file, or calibrate that size."]


def _named(setup: Setup) -> str:
    return ", ".join(part for part in (setup.microscope, setup.objective, setup.camera, setup.zoom) if part)
