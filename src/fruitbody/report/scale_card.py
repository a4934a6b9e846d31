"""The clinic's scale card on paper: fiducial markers, patches of known colour, a millimetre scale and a check bar.

The layout is that by which a photo of the card is read (`examine.photo.card_layout`). The colours of the patches are
nominal: a printer's own differ, which is why a clinic that wants colour prints a batch and measures one.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import cv2

from fruitbody.examine.photo import card_layout as layout
from fruitbody.examine.scene.colour import lab
from fruitbody.report.cautions import caution
from fruitbody.report.pdf import paper_name, typeset

_TEMPLATE: Final = Path(__file__).with_name("scale_card.typ")
STEPS: Final = (
    "Print at 100 % (“actual size”), on plain white paper, not glossy. Do not let the printer fit it to the page.",
    "Measure the black check bar with a ruler. If it is not 100 mm, write down what it is and send that number along: "
    "the sizes are then corrected by it.",
    "Lay the card flat beside the mushroom, at the height of the part that matters, and photograph both from above.",
)


def scale_card(*, paper: str = "letter") -> bytes:
    """PDF (tagged, PDF/UA-1) of one page. paper: 'letter' or 'a4'. Raises ValueError for an unknown one."""
    data: dict[str, Any] = {
        "title": "Scale card",
        "paper": paper_name(paper),
        "intro": "Lay this card beside the mushroom when you photograph it, and we can tell its size and its colours.",
        "alt": "Scale card of 160 by 100 mm: eight square markers along the long sides, a millimetre scale of 100 mm, "
        "six grey and twelve coloured patches, and a black check bar 100 mm long.",
        "size": layout.SIZE_MM,
        "marker_mm": layout.MARKER_MM,
        "markers": [{"at": at, "rows": marker_rows(marker)} for marker, at in layout.MARKERS.items()],
        "patch_mm": layout.PATCH_MM,
        "patches": [{"at": (x, y), "hex": _hex(code)} for x, y, code in layout.PATCHES],
        "scale_at": layout.SCALE_AT,
        "bar_at": layout.BAR_AT,
        "bar_mm": layout.BAR_MM,
        "bar_words": "Check bar: exactly 100 mm when printed at 100 %",
        "steps": STEPS,
        "cautions": [caution("eating_not_answered", "en"), caution("handling", "en")],
        "table_head": ("patch", "sRGB", "CIELAB (D65, 2°)") * 2,
        "table": _table(),
    }
    return typeset(_TEMPLATE, data, files={})


def marker_rows(marker: int) -> list[list[int]]:
    """Cells of a marker with its dark border, row by row; 1 is dark."""
    side = 6  # four by four and a border of one
    image = cv2.aruco.generateImageMarker(cv2.aruco.getPredefinedDictionary(layout.DICTIONARY), marker, side)
    return [[int(value < 128) for value in row] for row in image.tolist()]


def patch_lab() -> tuple[tuple[float, float, float], ...]:
    """Nominal CIELAB of each patch in the order of the layout."""
    return tuple(lab(code) for _, _, code in layout.PATCHES)


def _table() -> list[list[str]]:
    cells = []
    for n, ((_, _, code), (lightness, a, b)) in enumerate(zip(layout.PATCHES, patch_lab(), strict=True), start=1):
        cells.append([str(n), _hex(code), f"{lightness:.1f}, {a:.1f}, {b:.1f}"])
    half = len(cells) // 2
    return [cells[k] + cells[k + half] for k in range(half)]


def _hex(code: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*code)
