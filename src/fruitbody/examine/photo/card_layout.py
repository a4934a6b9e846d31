"""Where things stand on the clinic's scale card, in millimetres from its upper left corner: printed and read by it."""

from __future__ import annotations

from typing import Final

import cv2

SIZE_MM: Final = (160.0, 100.0)
DICTIONARY: Final = cv2.aruco.DICT_4X4_50
MARKER_MM: Final = 14.0
# Marker id -> upper left corner. Four along each long side, so that a covered part costs little.
MARKERS: Final = {
    17 + k: (4.0 + (SIZE_MM[0] - 8.0 - MARKER_MM) / 3 * (k % 4), 4.0 if k < 4 else SIZE_MM[1] - 4.0 - MARKER_MM)
    for k in range(8)
}
BAR_MM: Final = 100.0
BAR_AT: Final = (30.0, 74.0)  # left end of the check bar
SCALE_AT: Final = (30.0, 30.0)  # zero of the millimetre scale, 100 mm long, marks downwards
PATCH_MM: Final = 12.0
# Neutral steps, then colours as caps, stems and spore prints have them: nominal sRGB codes, our own choice.
NEUTRALS: Final = tuple((code, code, code) for code in (242, 200, 160, 120, 84, 50))
COLOURS: Final = (
    (118, 76, 52), (172, 128, 92), (206, 138, 62), (220, 176, 66), (230, 208, 96), (148, 168, 78),
    (80, 138, 92), (98, 108, 72), (62, 82, 142), (108, 72, 122), (166, 58, 48), (192, 112, 142),
)  # fmt: skip
PATCH_STEP_MM: Final = 12.5
# (x, y, code): upper left corner of each patch; twelve in the upper row, six in the lower.
PATCHES: Final = tuple(
    (5.0 + PATCH_STEP_MM * k, 41.0, code) for k, code in enumerate((*NEUTRALS, *COLOURS[:6]))
) + tuple((42.5 + PATCH_STEP_MM * k, 56.0, code) for k, code in enumerate(COLOURS[6:]))
