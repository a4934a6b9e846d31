"""The printed report, read back by another library (pypdf) and rendered by a third (PDFium)."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pypdf
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fruitbody.report import (
    CAUTIONS,
    Call,
    Means,
    Party,
    Photo,
    Question,
    caution,
    content_digest,
    formal_items,
    report_pdf,
)
from tests.report.sample import ZONE, asking, button, content, crust, pages, picture, rendered, whole


@pytest.fixture(scope="module")
def printed() -> bytes:
    return report_pdf(content())


def _catalog(pdf: bytes) -> Any:
    return pypdf.PdfReader(io.BytesIO(pdf)).trailer["/Root"]


def _elements(node: Any) -> Iterator[Any]:
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        for child in node:
            yield from _elements(child)
    elif isinstance(node, dict):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from _elements(node["/K"])


def test_the_file_declares_pdf_a_3b_and_pdf_ua_1(printed: bytes) -> None:
    xmp = _catalog(printed)["/Metadata"].get_data().decode()
    assert re.findall(r"<pdfaid:(part|conformance)>(.*?)<", xmp) == [("part", "3"), ("conformance", "B")]
    assert re.findall(r"<pdfuaid:part>(.*?)<", xmp) == ["1"]


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_file_is_tagged_in_its_language(language: str) -> None:
    catalog = _catalog(report_pdf(content(language=language)))
    assert (catalog["/Lang"], catalog["/MarkInfo"]["/Marked"]) == (language, True)
    tags = {element["/S"] for element in _elements(catalog["/StructTreeRoot"]["/K"])}
    assert {"/H1", "/H2", "/P", "/Table", "/TH", "/Figure"} <= tags


def test_every_figure_has_words_for_who_cannot_see_it(printed: bytes) -> None:
    figures = [e for e in _elements(_catalog(printed)["/StructTreeRoot"]["/K"]) if e["/S"] == "/Figure"]
    alts = [str(figure.get("/Alt", "")) for figure in figures]
    assert "A white button, stem cut off above ground." in alts
    assert any("the usual range of the name given is 50 to 120 mm; found: 41 ± 1.5 mm" in alt for alt in alts)
    assert all(alts)


def test_the_file_carries_title_issuer_and_time_of_issue(printed: bytes) -> None:
    metadata = pypdf.PdfReader(io.BytesIO(printed)).metadata
    assert metadata is not None
    assert (metadata.title, metadata.author) == ("Report 26-0417, version 1", "Rosa Exemplar, diagnostician")
    assert metadata.creation_date == content().issued_at


@pytest.mark.parametrize("index", range(16))
def test_every_formal_item_is_read_back_from_the_paper(printed: bytes, index: int) -> None:
    item = formal_items(content())[index]
    text = whole(printed)
    assert f"{item.letter} {item.heading}" in text
    assert all(line in text for line in item.lines)


@pytest.mark.parametrize("key", ["not_eating", "these_pieces", "poisoning", "late_syndromes", "eating_not_answered"])
def test_page_one_carries_the_cautions(printed: bytes, key: str) -> None:
    assert caution(key, "en") in pages(printed)[0]


def test_page_one_answers_before_it_names(printed: bytes) -> None:
    first = pages(printed)[0]
    assert first.index("Can it be eaten?") < first.index("We do not answer") < first.index("We could not exclude")
    assert first.index("We could not exclude") < first.index("Amanita sp.") < first.index("Issued by Rosa Exemplar")


def test_exact_values_with_units_stand_after_page_one(printed: bytes) -> None:
    first, *rest = pages(printed)
    assert "about 4 cm" in first
    assert "41 ± 1.5 mm" not in first
    assert "41 ± 1.5 mm (n = 1)" in " ".join(rest)
    assert "9.1 ± 0.2 µm (n = 24)" in " ".join(rest)


def test_what_the_material_cannot_show_is_told_with_its_reason(printed: bytes) -> None:
    assert "sac at the foot: the foot is missing; cut above ground" in whole(printed)


def test_the_report_says_that_it_is_not_accredited_unless_it_is() -> None:
    assert "This clinic is not accredited for this." in whole(report_pdf(content()))
    accredited = replace(content().clinic, accreditation="Accredited for naming fungi, no. 000 (invented).")
    text = whole(report_pdf(content(clinic=accredited)))
    assert "not accredited" not in text
    assert "no. 000 (invented)" in text


def test_every_page_carries_code_version_and_its_number(printed: bytes) -> None:
    texts = pages(printed)
    for number, text in enumerate(texts, start=1):
        assert f"Report 26-0417, version 1 · page {number} of {len(texts)}" in text


def test_the_end_is_marked_and_the_digest_printed(printed: bytes) -> None:
    last = pages(printed)[-1]
    assert "End of report 26-0417, version 1." in last
    assert content_digest(content()) in last.replace(" ", "")


def test_a_second_version_says_what_it_replaces_what_changed_and_why() -> None:
    call = Call(at=datetime(2026, 10, 6, 16, 0, tzinfo=ZONE), to="Sam Finder", by="Rosa Exemplar")
    second = content(
        version=2,
        supersedes="version 1 of 5 October 2026",
        changed=("The name.",),
        why="A second reader saw it.",
        call=call,
    )
    first = pages(report_pdf(second))[0]
    for text in (
        "This version replaces version 1 of 5 October 2026.",
        "What changed: The name.",
        "Why: A second reader saw it.",
        "We called Sam Finder about it on 6 October 2026, 16:00",
        CAUTIONS["replaced"]["en"],
    ):
        assert text in first


def test_a_tree_report_opens_with_the_referral_and_the_call() -> None:
    first = pages(report_pdf(content(crust(), submission=asking(Question.TREE), answer="It rots the foot.")))[0]
    assert first.index(caution("tree_prompt_referral", "en")) < first.index("We will call you the same day")
    assert first.index("We will call you the same day") < first.index("What does it mean for the tree?")


def test_the_same_content_gives_the_same_bytes(printed: bytes) -> None:
    assert report_pdf(content()) == printed


def test_the_digest_changes_with_a_word_and_with_a_photo() -> None:
    base = content_digest(content())
    other = replace(button(), photos=(Photo(image=picture(colour="#333333"), view="side"),))
    assert len({base, content_digest(content(why="x")), content_digest(content(other))}) == 3


@pytest.mark.parametrize(("paper", "size_mm"), [("letter", (215.9, 279.4)), ("a4", (210, 297))])
def test_the_paper_has_its_true_size(paper: str, size_mm: tuple[float, float]) -> None:
    for page in pypdf.PdfReader(io.BytesIO(report_pdf(content(), paper=paper))).pages:
        measured = (float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72)
        assert measured == pytest.approx(size_mm, abs=0.05)


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="letter, a4"):
        report_pdf(content(), paper="foolscap")


@pytest.mark.parametrize("count", [1, 3, 12])
def test_every_kind_is_printed_and_page_one_keeps_its_caution(count: int) -> None:
    kinds = [replace(button(), clinic_number=f"26-0417-{c}", photos=()) for c in "ABCDEFGHJKLM"[:count]]
    texts = pages(report_pdf(content(*kinds)))
    assert all(kind.clinic_number in " ".join(texts) for kind in kinds)
    assert caution("not_eating", "en") in texts[0]


def test_an_emoji_and_foreign_letters_in_a_name_are_marked_and_listed() -> None:
    text = whole(report_pdf(content(client=Party(role="client", name="Ana 🍄 Müller 张伟"))))
    assert "Ana ⟦1⟧ Müller ⟦2⟧" in text
    assert "⟦1⟧ = U+1F344 MUSHROOM" in text
    assert "⟦2⟧ = U+5F20 CJK UNIFIED IDEOGRAPH-5F20, U+4F1F CJK UNIFIED IDEOGRAPH-4F1F" in text


def test_a_direction_override_cannot_turn_the_text() -> None:
    text = whole(report_pdf(content(client=Party(role="client", name="Sam\u202erednif"))))
    assert "U+202E RIGHT-TO-LEFT OVERRIDE" in text
    assert "\u202e" not in text


def test_spanish_letters_are_printed_as_they_are() -> None:
    means = Means(people="¿Niños? Recójalos: «señal» única, pingüino.")
    text = whole(report_pdf(content(replace(button(), means=means), language="es")))
    assert "¿Niños? Recójalos: «señal» única, pingüino." in text
    assert "Caracteres que no se pudieron imprimir" not in text


def test_text_is_never_read_as_markup() -> None:
    told = (("note", '#panic("x") *bold* _it_ $x$ @ref <label> \\ // `raw` = heading'),)
    text = whole(report_pdf(content(submission=asking(Question.EATING, told=told))))
    assert '#panic("x") *bold* _it_ $x$ @ref <label> \\ // `raw` = heading' in text


def test_a_very_long_text_is_printed_to_its_end() -> None:
    photo = Photo(image=picture(), view="side", alt="x" * 40_000)
    long = replace(button(), means=Means(people="word " * 8_000 + "lastword"), photos=(photo,))
    assert "lastword" in whole(report_pdf(content(long)))


def test_no_page_is_blank() -> None:
    for page in rendered(report_pdf(content(button(), crust())), 40):
        assert sum(page.convert("L").histogram()[:200]) > 500


def test_a_further_font_is_used_for_what_the_own_ones_lack(tmp_path: Path) -> None:
    _font_with("🍄", tmp_path / "mushroom.ttf")
    text = whole(report_pdf(content(client=Party(role="client", name="Ana 🍄")), fonts=[str(tmp_path)]))
    assert "Ana 🍄" in text
    assert "could not be printed" not in text


def _font_with(character: str, file: Path) -> None:
    """A font with one drawn glyph, a square, for `character`."""
    pen = TTGlyphPen(None)
    for point, move in (
        ((100, 0), pen.moveTo),
        ((100, 700), pen.lineTo),
        ((800, 700), pen.lineTo),
        ((800, 0), pen.lineTo),
    ):
        move(point)
    pen.closePath()
    square, empty = pen.glyph(), TTGlyphPen(None).glyph()
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder([".notdef", "square"])
    builder.setupCharacterMap({ord(character): "square"})
    builder.setupGlyf({".notdef": empty, "square": square})
    builder.setupHorizontalMetrics({".notdef": (500, 0), "square": (900, 100)})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    names = {
        "familyName": "Sample Square",
        "styleName": "Regular",
        "fullName": "Sample Square",
        "psName": "SampleSquare",
    }
    builder.setupNameTable(names)
    builder.setupOS2(sTypoAscender=800, usWinAscent=800, usWinDescent=200)
    builder.setupPost()
    builder.save(file)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(st.characters(), min_size=1, max_size=30))
def test_no_text_whatever_loses_the_report(name: str) -> None:
    pdf = report_pdf(content(replace(button(), photos=(), strips=()), client=Party(role="client", name=name or "x")))
    assert "End of report 26-0417" in pages(pdf)[-1]


def test_a_letter_with_a_mark_that_no_font_joins_leaves_the_rest_as_it_is() -> None:
    # A Cyrillic letter under a Hebrew point: each can be printed alone, together the fonts have no place for it.
    text = whole(report_pdf(content(client=Party(role="client", name="Ana ж\u05b0 ж Müller"))))
    assert "Ana ⟦1⟧ ж Müller" in text
    assert "⟦1⟧ = U+0436 CYRILLIC SMALL LETTER ZHE, U+05B0 HEBREW POINT SHEVA" in text
