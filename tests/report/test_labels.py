"""Labels: codes read back by an independent decoder (zxing-cpp), sizes measured in the PDF and in its picture."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
import zxingcpp

from fruitbody.report import BagLabel, Slip, bag_label, label_sheet
from tests.report.sample import pages, rendered, whole

DPI = 200
URL = "https://desk.example.org/p/9f8a7b6c5d4e3f2a1b0c9d8e7f6a5b4c"
SLIP = Slip(
    "F7K2-9Q",
    "white ones from the lawn",
    "Alder County Fungus Desk",
    ("12 Example Road", "Alder, NY 00000"),
    URL,
    "What does it mean for the lawn?",
)
BAG = BagLabel("26-0417-A", "kind A", "white ones from the lawn", date(2026, 10, 5))
MM = 25.4 / 72


def _codes(pdf: bytes) -> list[list[zxingcpp.Barcode]]:
    return [list(zxingcpp.read_barcodes(page)) for page in rendered(pdf, DPI)]


def _side_mm(code: zxingcpp.Barcode) -> float:
    """Mean of the upper and left side of the symbol in the picture, in millimetres."""
    p = code.position
    upper = math.dist((p.top_left.x, p.top_left.y), (p.top_right.x, p.top_right.y))
    left = math.dist((p.top_left.x, p.top_left.y), (p.bottom_left.x, p.bottom_left.y))
    return (upper + left) / 2 / DPI * 25.4


def _boxes_mm(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of every drawn path of the first page, by PDFium."""
    paths = [o for o in pdfium.PdfDocument(pdf)[0].get_objects() if o.type == raw.FPDF_PAGEOBJ_PATH]
    bounds = [path.get_bounds() for path in paths]
    return [((right - left) * MM, (top - bottom) * MM) for left, bottom, right, top in bounds]


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_code_of_a_sheet_is_read_back(paper: str) -> None:
    slips = [replace(SLIP, finder_label=f"kind {i}", url=f"{URL}/{i}") for i in range(3)]
    read = [code.text for page in _codes(label_sheet(slips, paper=paper)) for code in page]
    assert sorted(read) == sorted([slips[0].url, *(slip.url for slip in slips)])


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_code_is_printed_22_mm_wide(paper: str) -> None:
    for code in _codes(label_sheet([SLIP], paper=paper))[0]:
        # Two pixels at 200 dpi are 0.25 mm.
        assert _side_mm(code) == pytest.approx(22.0, abs=0.25)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_cut_lines_and_check_line_have_their_true_size(paper: str) -> None:
    boxes = _boxes_mm(label_sheet([SLIP, SLIP], paper=paper))

    # PDFium's bounds take in the width of the line: 0.14 mm on each side of a cut line, 0.28 mm of the check line.
    def drawn(width: float, height: float) -> int:
        return sum(abs(w - width) < 0.6 and abs(h - height) < 0.6 for w, h in boxes)

    assert (drawn(190, 76), drawn(95, 56), drawn(100, 0)) == (1, 2, 1)


@pytest.mark.parametrize(("paper", "size_mm"), [("letter", (215.9, 279.4)), ("a4", (210.0, 297.0))])
def test_a_sheet_has_the_size_of_its_paper(paper: str, size_mm: tuple[float, float]) -> None:
    width, height = pdfium.PdfDocument(label_sheet([SLIP], paper=paper))[0].get_size()
    assert (width * MM, height * MM) == pytest.approx(size_mm, abs=0.05)


def test_a_slip_carries_label_code_and_question() -> None:
    text = whole(label_sheet([SLIP]))
    for told in (
        "white ones from the lawn",
        "F7K2-9Q",
        "What does it mean for the lawn?",
        "kind 1 of 1",
        "Do not eat.",
    ):
        assert told in text


def test_without_a_link_the_code_itself_is_in_the_symbol() -> None:
    codes = _codes(label_sheet([replace(SLIP, url="")]))[0]
    assert {code.text for code in codes} == {"F7K2-9Q"}


def test_nine_kinds_take_a_second_page_with_each_label() -> None:
    texts = pages(label_sheet([replace(SLIP, finder_label=f"label-{i}") for i in range(9)]))
    assert len(texts) == 2
    assert all(any(f"label-{i}" in text for text in texts) for i in range(9))


@pytest.mark.parametrize("label", ["🍄", "x" * 500, "", "ñandú 张", "Donaudampfschifffahrtsgesellschaftskapitänsmütze"])
def test_no_finders_label_breaks_the_sheet(label: str) -> None:
    pdf = label_sheet([replace(SLIP, finder_label=label)])
    assert len(_codes(pdf)[0]) == 2


def test_a_spanish_slip_speaks_spanish() -> None:
    assert "Usted lo marcó" in whole(label_sheet([replace(SLIP, language="es")]))


def test_the_same_slips_give_the_same_bytes() -> None:
    assert label_sheet([SLIP]) == label_sheet([SLIP])


def test_no_slip_and_no_label_are_refused_with_a_sentence() -> None:
    with pytest.raises(ValueError, match="Add at least one"):
        label_sheet([])
    with pytest.raises(ValueError, match="Choose at least one"):
        bag_label([])


def test_a_bag_label_has_its_true_size_and_a_readable_code() -> None:
    pdf = bag_label([BAG])
    width, height = pdfium.PdfDocument(pdf)[0].get_size()
    assert (width * MM, height * MM) == pytest.approx((62.0, 29.0), abs=0.01)
    (code,) = _codes(pdf)[0]
    assert code.text == "26-0417-A"
    assert _side_mm(code) == pytest.approx(20.0, abs=0.25)


def test_a_bag_label_carries_number_kind_finders_label_and_date() -> None:
    text = whole(bag_label([BAG]))
    for told in ("26-0417-A", "kind A", "white ones from the lawn", "received 5 October 2026"):
        assert told in text


def test_each_bag_label_is_a_page_of_its_own() -> None:
    numbers = ["26-0417-A", "26-0417-B", "26-0417-C"]
    read = [page[0].text for page in _codes(bag_label([replace(BAG, clinic_number=n) for n in numbers]))]
    assert read == numbers


def test_a_label_too_small_for_its_code_is_refused() -> None:
    with pytest.raises(ValueError, match="too small"):
        bag_label([BAG], size_mm=(30.0, 20.0))
