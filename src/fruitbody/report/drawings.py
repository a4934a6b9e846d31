"""Pictures as SVG text, alike on the page and on paper. Colours are those of the notebook, written as attributes, so
that no inline style is needed; all words are escaped."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from fruitbody.report.cloud_picture import CloudPicture
from fruitbody.report.pictures import Segment

INK: Final = "#26211a"
FADED: Final = "#5c5342"
RULE: Final = "#8a7d63"
LINE: Final = "#d9cfb8"
RUST: Final = "#8a3d17"
WASH: Final = "#f5e6da"
PAGE: Final = "#fffdf7"
_HALO: Final = 'stroke="#ffffff" stroke-width="3" paint-order="stroke"'
FONT: Final = "Libertinus Serif, Palatino Linotype, Palatino, Georgia, DejaVu Serif, serif"


def text(
    x: float, y: float, words: str, *, size: float = 13, fill: str = FADED, anchor: str = "middle", more: str = ""
) -> str:
    """One line of words; more: further attributes, as they are."""
    return (
        f'<text x="{x:g}" y="{y:g}" font-family={quoteattr(FONT)} font-size="{size:g}" fill="{fill}" '
        f'text-anchor="{anchor}"{" " + more if more else ""}>{escape(words)}</text>'
    )


def line(x1: float, y1: float, x2: float, y2: float, *, stroke: str = LINE, width: float = 1, more: str = "") -> str:
    return (
        f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" stroke="{stroke}" stroke-width="{width:g}"'
        f"{' ' + more if more else ''}/>"
    )


def svg(width: float, height: float, parts: Sequence[str], alt: str, *, box: str = "") -> str:
    """A whole picture; alt: what it says, for who cannot see it."""
    view = box or f"0 0 {width:g} {height:g}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" width="{width:g}" height="{height:g}" role="img" '
        f"aria-label={quoteattr(alt)}>{''.join(parts)}</svg>"
    )


def ring_svg(segments: Sequence[Segment], alt: str, *, size: float = 160) -> str:
    """The season: twelve months as a ring, January at the top, those with finds in rust."""
    parts = []
    for s in segments:
        fill, ink = (RUST, "#ffffff") if s.found else (PAGE, FADED)
        parts.append(f'<path d="{s.path}" fill="{fill}" stroke="{RULE}" stroke-width="0.75"/>')
        parts.append(text(s.x, s.y + 3.8, s.letter, size=11, fill=ink))
    return svg(size, size, parts, alt, box="-64 -64 128 128")


def cloud_svg(picture: CloudPicture, alt: str) -> str:
    """The spore cloud: the others as faint numbered outlines behind, the kind itself in rust with its centre."""
    left, top, right, bottom = picture.frame
    parts = [f'<rect x="{left:g}" y="{top:g}" width="{right - left:g}" height="{bottom - top:g}" fill="#ffffff"/>']
    for x, words in picture.across:
        parts += [line(x, top, x, bottom), text(x, bottom + 15, words)]
    for y, words in picture.up:
        parts += [line(left, y, right, y), text(left - 6, y + 4, words, anchor="end")]
    for path, (x, y), words in picture.ratios:
        parts.append(f'<path d="{path}" fill="none" stroke="{RULE}" stroke-width="0.75" stroke-dasharray="2 4"/>')
        parts.append(text(min(x, right) - 4, max(y, top) + 13, words, size=11.5, anchor="end", more=_HALO))
    faint = f'fill="none" stroke="{RULE}" stroke-width="1.1" stroke-opacity="0.75"'
    parts += [f'<path d="{other.path}" {faint}/>' for other in picture.others]
    for path, fill, width in zip(picture.paths, (WASH, "#e9c9b4"), (2, 1.2), strict=False):
        parts.append(f'<path d="{path}" fill="{fill}" fill-opacity="0.75" stroke="{RUST}" stroke-width="{width}"/>')
    x, y = picture.centre
    parts.append(f'<path d="M{x - 5:g} {y:g}h10M{x:g} {y - 5:g}v10" stroke="{RUST}" stroke-width="1.6"/>')
    parts += [
        text(o.label[0], o.label[1] + 4, str(o.number), size=13, fill=INK, more=_HALO) for o in picture.others
    ]  # fmt: skip
    parts.append(line(left, bottom, right, bottom, stroke=RULE))
    parts.append(line(left, top, left, bottom, stroke=RULE))
    parts.append(text((left + right) / 2, picture.height - 6, "length of the spores, µm", fill=INK))
    middle = (top + bottom) / 2
    parts.append(text(13, middle, "width, µm", fill=INK, more=f'transform="rotate(-90 13 {middle:g})"'))
    return svg(picture.width, picture.height, parts, alt)
