"""*How good is it*: the latest figures, for the staff; a sentence where there are none, or of another funga."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from fruitbody import funga
from fruitbody.funga.science import science_digest
from fruitbody.report import how_good
from tests.report.test_how_good import written


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where this test's figures lie; empty at first."""
    monkeypatch.setattr(how_good, "FIGURES", tmp_path / "figures.json")
    return tmp_path / "figures.json"


def page(client: Client, file: Path | None = None, **figures: Any) -> str:
    if file:
        file.write_text(json.dumps(written(**figures)), encoding="utf-8")
    answer = client.get(reverse("records:how_good"))
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_page_shows_words_goals_curves_and_peers(at_bench: Client, file: Path) -> None:
    text = page(at_bench, file, funga=science_digest(funga.load()))
    for words in ("first name was right in 97", "25 November 2026 (UTC)", "missed", "naive Bayes", "came true, of 100"):
        assert words in text
    assert "another state of the funga" not in text


def test_figures_of_another_funga_say_so(at_bench: Client, file: Path) -> None:
    assert "another state of the funga" in page(at_bench, file, funga="0" * 64)


def test_without_figures_the_page_says_which_command_makes_them(at_bench: Client, file: Path) -> None:
    text = page(at_bench)
    assert "Nothing has been measured yet" in text
    assert "<code>fruitbody evaluate</code>" in text


def test_a_broken_file_is_answered_with_a_sentence(at_bench: Client, file: Path) -> None:
    file.write_text("{", encoding="utf-8")
    assert "figures.json cannot be read" in page(at_bench)


def test_the_funga_leads_to_it(at_bench: Client) -> None:
    assert reverse("records:how_good") in at_bench.get(reverse("records:funga")).content.decode()


def test_it_is_for_the_staff_alone(client: Client, clinic: object) -> None:
    assert client.get(reverse("records:how_good")).status_code == 302
