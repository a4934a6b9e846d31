"""The kept form of the funga: the same knowledge, sooner; never a wrong one."""

from __future__ import annotations

import pickle
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from fruitbody import funga
from fruitbody.funga.kept import digest_of, keep, kept
from fruitbody.funga.load import DATA

KNOWN = funga.load()


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRUITBODY_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


def test_what_is_kept_is_what_was_read() -> None:
    keep(KNOWN)
    assert kept(KNOWN.digest) == KNOWN


def test_another_digest_finds_nothing() -> None:
    keep(KNOWN)
    assert kept("0" * 64) is None


def test_the_digest_changes_with_a_byte_of_the_data(tmp_path: Path) -> None:
    copy = tmp_path / "data"
    shutil.copytree(DATA, copy)
    assert digest_of(copy) == KNOWN.digest
    with (copy / "regions.toml").open("a", encoding="utf-8") as file:
        file.write("# one word more\n")
    assert digest_of(copy) != KNOWN.digest


@pytest.mark.parametrize("rubbish", [b"", b"rubbish", pickle.dumps({"not": "a funga"})])
def test_a_spoilt_file_counts_as_none(cache: Path, rubbish: bytes) -> None:
    keep(KNOWN)
    for path in cache.iterdir():
        path.write_bytes(rubbish)
    assert kept(KNOWN.digest) is None


def test_a_folder_that_cannot_be_made_keeps_nothing_and_complains_of_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("FRUITBODY_CACHE", str(tmp_path / "file" / "cache"))
    keep(KNOWN)
    assert kept(KNOWN.digest) is None


def test_an_empty_name_switches_it_off(monkeypatch: pytest.MonkeyPatch, cache: Path) -> None:
    monkeypatch.setenv("FRUITBODY_CACHE", "")
    keep(KNOWN)
    assert not cache.exists()
    assert kept(KNOWN.digest) is None


def test_only_the_newest_few_stay(cache: Path) -> None:
    for number in range(7):
        keep(replace(KNOWN, digest=f"{number:064d}"))
    assert len(list(cache.glob("funga-*"))) == 4
