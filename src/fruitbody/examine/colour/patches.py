"""The coloured patches of the clinic's scale card: their intended colours, in the order in which they are printed.

A printed card is measured, or taken with the doubt `correction.PRINTED_U`: no printer hits the codes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from fruitbody.examine.colour.spaces import RGB, Lab, lab_of_srgb
from fruitbody.examine.photo.card_layout import COLOURS, NEUTRALS


@dataclass(frozen=True, slots=True)
class Patch:
    """name: "grey 1" (the lightest) and so on, then "colour 1" and so on; srgb: intended codes."""

    name: str
    srgb: RGB

    @property
    def lab(self) -> Lab:
        """Intended CIELAB (D65, 2°)."""
        lightness, a, b = lab_of_srgb(self.srgb)
        return float(lightness), float(a), float(b)


PATCHES: Final = tuple(
    Patch(f"{name} {number}", code)
    for name, codes in (("grey", NEUTRALS), ("colour", COLOURS))
    for number, code in enumerate(codes, start=1)
)
