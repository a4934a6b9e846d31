"""`fruitbody measure PHOTO` and `fruitbody scale-card`: sizes from a photo, and the card to print."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from fruitbody.examine.photo.budget import Length
    from fruitbody.examine.photo.measure import Measured

Point = tuple[float, float]


def add(commands: Any) -> None:
    one = commands.add_parser("measure", help="measure a photo by the coin, ruler or card in it", description=__doc__)
    one.add_argument("photo", type=Path, metavar="PHOTO", help="JPEG, PNG, WebP or HEIC")
    one.add_argument(
        "--reference", default="auto", metavar="KIND", help="us-quarter and other coins, ruler, card or auto (default)"
    )
    one.add_argument("--between", nargs=2, metavar=("X1,Y1", "X2,Y2"), help="ends of a line to measure, in pixels")
    one.add_argument("--height-mm", type=float, metavar="MM", help="height of the part above the reference's ground")
    one.add_argument("--at", metavar="X,Y", help="a point on the coin, where several round things are in the photo")
    one.add_argument("--bar-mm", type=float, metavar="MM", help="length of the scale card's check bar as printed")
    one.add_argument("--json", action="store_true", help="print JSON")
    one.set_defaults(run=run_measure)
    card = commands.add_parser("scale-card", help="write the scale card to print", description=__doc__)
    card.add_argument("--paper", default="letter", choices=("letter", "a4"), help="paper size (default letter)")
    card.add_argument(
        "--out", type=Path, default=None, metavar="FILE", help="where to write (default scale-card-PAPER.pdf)"
    )
    card.set_defaults(run=run_card)


def run_measure(options: argparse.Namespace) -> int:
    from fruitbody.examine.photo.measure import measure
    from fruitbody.examine.photo.picture import open_picture

    try:
        data = options.photo.read_bytes()
    except FileNotFoundError:
        raise ValueError(f"There is no file {options.photo}. Name a photo.") from None
    ends = (_point(options.between[0]), _point(options.between[1])) if options.between else None
    found = measure(
        open_picture(data),
        reference=options.reference,
        ends=ends,
        height_mm=options.height_mm,
        near=_point(options.at) if options.at else None,
        bar_mm=options.bar_mm,
    )
    print(json.dumps(as_json(found), ensure_ascii=False, indent=2) if options.json else as_text(found))
    return 0


def run_card(options: argparse.Namespace) -> int:
    from fruitbody.report.scale_card import scale_card

    target = options.out or Path(f"scale-card-{options.paper}.pdf")
    target.write_bytes(scale_card(paper=options.paper))
    print(f"The card is in {target}. Print it at 100 % on white paper, then measure the check bar.")
    return 0


def _point(text: str) -> Point:
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        raise ValueError(f"A point is written X,Y in pixels, such as 812,604, not “{text}”.") from None
    return x, y


def as_json(found: Measured) -> dict[str, Any]:
    """The terminal's contract (docs/examine.md)."""
    used = found.references.used
    scale = used.scale if used else None
    return {
        "references": [
            {
                "kind": r.kind,
                "found": r.found,
                "mm_per_px": r.scale.mm_per_px if r.scale else None,
                "residual_px": r.residual_px,
            }
            for r in found.references.every
        ],
        "mm_per_px": {"value": scale.mm_per_px, "expanded_uncertainty": 2 * scale.u_mm_per_px} if scale else None,
        "between": _length(found.between) if found.between else None,
        "subjects": [
            {
                "width_mm": s.width.value_mm if s.width else None,
                "height_mm": s.height.value_mm if s.height else None,
                "outline": [[round(x, 1), round(y, 1)] for x, y in s.subject.outline_px],
            }
            for s in found.subjects
        ],
        "sharpness": {"score": found.quality.sharpness, "verdict": found.quality.sharp},
        "exposure": found.quality.exposure,
        "warnings": list(found.warnings),
    }


def _length(length: Length) -> dict[str, Any]:
    budget = [{"source": s.source, "u_mm": s.u_mm, "share": s.share} for s in length.budget]
    return {"length_mm": length.value_mm, "expanded_uncertainty": length.expanded_mm, "budget": budget}


def as_text(found: Measured) -> str:
    """The same for a reader at the terminal."""
    lines = []
    for r in found.references.every:
        if r.found and r.scale is not None:
            percent = 200 * r.scale.u_mm_per_px / r.scale.mm_per_px
            lines.append(f"{r.kind}: {r.scale.mm_per_px:.5f} mm per pixel, ± {percent:.1f} % (k = 2), where it lies")
        else:
            lines.append(f"{r.kind}: not found")
    if found.between is not None:
        length = found.between
        lines.append(f"Length: {length.value_mm:.1f} mm ± {length.expanded_mm:.1f} mm (k = 2)")
        if length.asymmetric:
            lines.append(f"  between {length.low_mm:.1f} and {length.high_mm:.1f} mm in 95 of 100 cases")
        lines += [f"  {s.source}: {s.u_mm:.2f} mm, {100 * s.share:.0f} % of the variance" for s in length.budget]
    for n, s in enumerate(found.subjects, start=1):
        size = f"{s.width.value_mm:.0f} mm wide, {s.height.value_mm:.0f} mm high" if s.width and s.height else "no size"
        lines.append(f"Fruit body {n}: {size}; to be confirmed by eye")
    lines.append(f"Sharpness {found.quality.sharpness:.2f} ({found.quality.sharp}); exposure {found.quality.exposure}")
    lines += found.warnings
    lines.append("This tells sizes. It does not say whether any mushroom is safe to eat.")
    return "\n".join(lines)
