"""The typesetter, called in one way: no system fonts, no packages, data as JSON in `sys.inputs.data`."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import typst

if TYPE_CHECKING:
    from typst import PDFStandard

ARCHIVAL: Final[tuple[PDFStandard, ...]] = ("a-3b", "ua-1")
ACCESSIBLE: Final[tuple[PDFStandard, ...]] = ("ua-1",)


def compiled(
    source: bytes, data: Any, *, folder: Path | None = None, fonts: tuple[str, ...] = (), timestamp: int | None = None
) -> bytes:
    """PDF bytes of the template `source`; files that it names lie in `folder`.

    fonts: folders with fonts beside the built-in ones. timestamp: seconds since 1970 for a dated archival file
    (PDF/A-3b, PDF/UA-1); None: PDF/UA-1 alone, undated. Raises
    typst.TypstError, also for characters that no font has.
    """
    compiler = typst.Compiler(
        source,
        root=folder,
        font_paths=_fonts(fonts),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data)},
    )
    standards = list(ACCESSIBLE if timestamp is None else ARCHIVAL)
    pdf = compiler.compile(format="pdf", pdf_standards=standards, timestamp=timestamp)
    if not isinstance(pdf, bytes):
        raise TypeError("The typesetter gave no PDF. Check that its version is the one locked.")
    return pdf


@lru_cache(maxsize=8)
def _fonts(folders: tuple[str, ...]) -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=list(folders))
