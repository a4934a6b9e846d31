"""The bench sheet read back by pypdf, and the drawings on it."""

from __future__ import annotations

import dataclasses
import io
import re
from datetime import UTC, datetime
from xml.etree import ElementTree

import pypdf
import pytest

from fruitbody.funga import load
from fruitbody.report.taxon_clouds import cloud_figure
from fruitbody.report.taxon_sheet import Printed, taxon_sheet
from tests.report.test_pdf import _catalog, _elements

KNOWN = load()
WHEN = Printed("Alder County Mushroom Desk", datetime(2026, 11, 25, 15, 0, tzinfo=UTC), "America/New_York")
KRETZSCHMARIA, DEATH_CAP = "kretzschmaria-deusta", "amanita-phalloides"


def sheet(taxon_id: str, paper: str = "letter", **changes: object) -> bytes:
    taxon = dataclasses.replace(KNOWN.taxa[taxon_id], **changes)  # type: ignore[arg-type]
    return taxon_sheet(KNOWN, taxon, printed=WHEN, paper=paper)


def words_of(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages))


@pytest.fixture(scope="module")
def death_cap() -> bytes:
    return sheet(DEATH_CAP)


def test_the_sheet_declares_pdf_a_3b_and_pdf_ua_1(death_cap: bytes) -> None:
    xmp = _catalog(death_cap)["/Metadata"].get_data().decode()
    assert re.findall(r"<pdfaid:(part|conformance)>(.*?)<", xmp) == [("part", "3"), ("conformance", "B")]
    assert re.findall(r"<pdfuaid:part>(.*?)<", xmp) == ["1"]


def test_pictures_have_words_for_who_cannot_see_them(death_cap: bytes) -> None:
    figures = [e for e in _elements(_catalog(death_cap)["/StructTreeRoot"]["/K"]) if e["/S"] == "/Figure"]
    alts = [str(figure.get("/Alt", "")) for figure in figures]
    assert any("Season: found in June to January" in alt for alt in alts)
    assert any("Spore cloud" in alt and "µm long" in alt for alt in alts)
    assert all(alts)


def test_the_sheet_says_whom_it_is_for_and_when_it_was_printed(death_cap: bytes) -> None:
    text = words_of(death_cap)
    assert "For the staff" in text
    assert "25 November 2026, 10:00 (America/New_York, UTC−05:00)" in text


def test_slip_findings_sizes_hazards_and_pairs_stand_on_it(death_cap: bytes) -> None:
    text = words_of(death_cap)
    for part in ("According to", "Findings", "Sizes", "Spore cloud", "Deadly", "Taken for", "settled by"):
        assert part in text, part
    assert "does not say whether any mushroom is safe to eat" in text


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_kind_with_few_pairs_keeps_to_one_page(paper: str) -> None:
    assert len(pypdf.PdfReader(io.BytesIO(sheet(KRETZSCHMARIA, paper))).pages) == 1


def test_a_kind_without_spores_still_has_its_sheet() -> None:
    scores = {key: score for key, score in KNOWN.taxa[DEATH_CAP].scores.items() if not key[0].startswith("spore_")}
    assert "Spore cloud" not in words_of(sheet(DEATH_CAP, scores=scores))


def test_characters_that_no_font_has_are_marked_and_listed() -> None:
    text = words_of(sheet(KRETZSCHMARIA, name="Odd ẞ <name> #1 \U0001f344 × Ž", rank="species group"))
    assert "Odd ẞ <name> #1 ⟦1⟧ × Ž" in text
    assert "U+1F344 MUSHROOM" in text


def test_every_character_printed_belongs_to_a_font_of_the_file(death_cap: bytes) -> None:
    assert "\ufffd" not in words_of(death_cap)
    fonts = [f for page in pypdf.PdfReader(io.BytesIO(death_cap)).pages for f in page["/Resources"]["/Font"].values()]
    assert fonts
    assert all("/ToUnicode" in font.get_object() for font in fonts)


def test_the_same_moment_gives_the_same_bytes(death_cap: bytes) -> None:
    assert sheet(DEATH_CAP) == death_cap


def test_the_cloud_is_a_well_formed_picture_without_inline_style() -> None:
    figure = cloud_figure(KNOWN, KNOWN.taxa[DEATH_CAP])
    assert figure is not None
    root = ElementTree.fromstring(figure.svg)
    assert root.get("aria-label") == figure.words
    assert not [e for e in root.iter() if "style" in e.attrib or e.tag.endswith("style")]


def test_kinds_far_off_are_named_and_not_drawn() -> None:
    figure = cloud_figure(KNOWN, KNOWN.taxa[DEATH_CAP])
    assert figure is not None
    assert "calvatia-gigantea" in {taxon.id for taxon in figure.beyond}
    assert not {t.id for t in figure.beyond} & {t.id for t in figure.drawn}
