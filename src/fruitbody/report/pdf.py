"""The report on paper: a tagged PDF after PDF/A-3b and PDF/UA-1, the same bytes for the same content.

The template is `report.typ`; data reaches it as JSON and is never read as markup. Photos are re-encoded
upright, without their hidden data.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import typst
from PIL import Image, ImageOps

from fruitbody.report.content import ReportContent
from fruitbody.report.glyphs import Marks
from fruitbody.report.refuse import ReportRefused, refusals
from fruitbody.report.sheet import photo_bytes, photos_of, sheet
from fruitbody.report.typesetter import compiled
from fruitbody.report.words import word

PAPERS: Final = {"letter": "us-letter", "a4": "a4"}
_TEMPLATE: Final = Path(__file__).with_name("report.typ")
_PHOTO_SIDE: Final = 1400  # pixels of the longer side: 300 dpi at the printed width
_PIXELS: Final = 60_000_000


def report_pdf(content: ReportContent, *, paper: str = "letter", fonts: Sequence[str] = ()) -> bytes:
    """The report as PDF bytes.

    paper: 'letter' or 'a4'. fonts: folders with further fonts, for scripts that the built-in ones lack; characters that
    no font has are marked and listed on the last page.
    Raises ReportRefused when the report may not be issued, ValueError for an unknown paper.
    """
    if reasons := refusals(content):
        raise ReportRefused(reasons)
    data = sheet(content)
    photos = [_photo(photo_bytes(photo.image)) for photo in photos_of(content)]
    _number_photos(data, photos, content.language)
    data["paper"] = paper_name(paper)
    files = {f"photo-{i}.jpg": image for i, image in enumerate(photos) if image is not None}
    return typeset(_TEMPLATE, data, files=files, fonts=tuple(fonts), timestamp=int(content.issued_at.timestamp()))


def paper_name(paper: str) -> str:
    if paper not in PAPERS:
        raise ValueError(f"There is no paper “{paper}”. Choose one of {', '.join(PAPERS)}.")
    return PAPERS[paper]


def typeset(
    template: Path,
    data: dict[str, Any],
    *,
    files: dict[str, bytes],
    fonts: tuple[str, ...] = (),
    timestamp: int | None = None,
) -> bytes:
    """PDF bytes of `template` with `data` as `sys.inputs.data`, cleaned; `files` lie beside it under their names.
    timestamp: the document's date in seconds since 1970, for an archival file (PDF/A-3b and UA-1); None: UA-1, undated.

    Should the typesetter still refuse a character, as it may for rare combinations, everything beyond Latin is marked.
    """
    try:
        return _compile(template, data, files=files, marks=Marks(fonts), timestamp=timestamp)
    except typst.TypstError as error:
        if "could not be displayed" not in (error.diagnostic or error.message):
            raise
        return _compile(template, data, files=files, marks=Marks(fonts, latin_only=True), timestamp=timestamp)


def _compile(
    template: Path, data: dict[str, Any], *, files: dict[str, bytes], marks: Marks, timestamp: int | None
) -> bytes:
    cleaned = marks.clean(data)
    cleaned["marks"] = marks.listed()
    with tempfile.TemporaryDirectory() as folder:
        for name, content in files.items():
            (Path(folder) / name).write_bytes(content)
        return compiled(template.read_bytes(), cleaned, folder=Path(folder), fonts=marks.fonts, timestamp=timestamp)


def _photo(image: bytes) -> bytes | None:
    """The photo as an upright JPEG without hidden data, at most 1400 pixels wide or high; None if it cannot be read."""
    try:
        with Image.open(io.BytesIO(image)) as opened:
            if opened.width * opened.height > _PIXELS:
                return None
            opened.draft("RGB", (_PHOTO_SIDE, _PHOTO_SIDE))
            upright = ImageOps.exif_transpose(opened)
            upright.thumbnail((_PHOTO_SIDE, _PHOTO_SIDE))
            out = io.BytesIO()
            _on_white(upright).save(out, "JPEG", quality=85)
            return out.getvalue()
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None


def _tall(image: bytes) -> bool:
    with Image.open(io.BytesIO(image)) as opened:
        return opened.height * 1.2 > opened.width


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        image = image.convert("RGBA")
        ground = Image.new("RGB", image.size, "white")
        ground.paste(image, mask=image.getchannel("A"))
        return ground
    return image.convert("RGB")


def _number_photos(data: dict[str, Any], photos: list[bytes | None], language: str) -> None:
    """Say in each photo's entry which file holds it, or that it could not be read."""
    entries = [entry for kind in data["evidence"] for entry in kind["photos"]]
    for i, (entry, image) in enumerate(zip(entries, photos, strict=True)):
        if image is not None:
            entry["file"], entry["lost"], entry["tall"] = f"/photo-{i}.jpg", "", _tall(image)
        else:
            entry["file"], entry["lost"] = "", word("photo_lost", language).format(entry["view"])
