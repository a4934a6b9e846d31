"""Reads a checklist of names: a Darwin Core taxon file, as text with tabs, commas or semicolons, or inside an archive.

The terms are those of the Darwin Core quick reference (Biodiversity Information Standards, TDWG): scientificName,
taxonomicStatus, acceptedNameUsage and their kin. A column whose name is no such term is passed over.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from fruitbody.funga.problems import FungaError, Problem
from fruitbody.funga.terms import nearest

TERMS = (
    "taxonID",
    "scientificName",
    "scientificNameAuthorship",
    "taxonRank",
    "taxonomicStatus",
    "acceptedNameUsage",
    "acceptedNameUsageID",
    "family",
    "genus",
    "nameAccordingTo",
)
NEEDED = ("scientificName", "taxonomicStatus")
ACCEPTED = ("accepted", "valid", "accepted name")
SPLIT = ("pro parte synonym", "proparte synonym", "pro-parte synonym", "ambiguous synonym")
SYNONYM = ("synonym", "homotypic synonym", "heterotypic synonym", "junior synonym", "misapplied", *SPLIT)
MOST_BYTES = 200_000_000
MOST_PROBLEMS = 20


@dataclass(frozen=True, slots=True)
class ListedName:
    """One row of a checklist. accepted: the name it is to go by, its own where it is accepted itself. row: from 1."""

    name: str
    authority: str
    rank: str
    status: str
    accepted: str
    family: str
    according_to: str
    row: int

    @property
    def is_accepted(self) -> bool:
        return self.status in ACCEPTED

    @property
    def is_split(self) -> bool:
        return self.status in SPLIT


def read_checklist(path: Path) -> list[ListedName]:
    """Every name of a checklist. Raises FungaError naming file and row of each mistake; then nothing is taken over."""
    return parse_checklist(path.name, path.read_bytes())


def parse_checklist(file: str, content: bytes) -> list[ListedName]:
    """The same from bytes, as a form hands them over."""
    text = _text(file, content)
    rows = csv.DictReader(io.StringIO(text), delimiter=_separator(text))
    columns = _columns(file, rows.fieldnames or ())
    problems: list[Problem] = []
    entries = [
        (number, {term: (row.get(c) or "").strip() for term, c in columns.items()}) for number, row in _rows(rows)
    ]
    by_id = {entry["taxonID"]: entry for _, entry in entries if entry.get("taxonID")}
    names = [_name(file, number, entry, by_id, problems) for number, entry in entries]
    if not names:
        problems.append(Problem(file, "", "it holds no names below its first line."))
    if problems:
        raise FungaError(problems[:MOST_PROBLEMS])
    return [name for name in names if name is not None]


def _text(file: str, content: bytes) -> str:
    """The taxon table as text; of an archive the file whose name says taxon."""
    if len(content) > MOST_BYTES:
        raise FungaError([Problem(file, "", f"it is larger than {MOST_BYTES // 1_000_000} MB. Export only the fungi.")])
    if zipfile.is_zipfile(io.BytesIO(content)):
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            tables = [i for i in archive.infolist() if i.filename.rsplit("/", 1)[-1].lower().startswith("taxon")]
            if not tables:
                raise FungaError([Problem(file, "", "the archive holds no file whose name begins with “taxon”.")])
            if tables[0].file_size > MOST_BYTES:
                raise FungaError([Problem(file, tables[0].filename, "it unpacks to more than we take. Export less.")])
            content = archive.read(tables[0])
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        words = f"byte {error.start} is not UTF-8. Save the table as UTF-8 text and try again."
        raise FungaError([Problem(file, "", words)]) from error


def _separator(text: str) -> str:
    first = text.split("\n", 1)[0]
    return max("\t,;", key=first.count)


def _columns(file: str, found: Iterable[str]) -> dict[str, str]:
    """Term -> the column's own heading; terms may stand as full addresses."""
    plain = {(heading or "").strip().rsplit("/", 1)[-1].rsplit(":", 1)[-1]: heading for heading in found}
    missing = [term for term in NEEDED if term not in plain]
    if missing:
        hints = [
            f"{term} (perhaps “{close[0]}”)" if (close := nearest(term, plain, most=1)) else term for term in missing
        ]
        words = f"these columns are missing: {', '.join(hints)}. It has: {', '.join(h for h in plain if h) or 'none'}."
        raise FungaError([Problem(file, "row 1", words)])
    return {term: plain[term] for term in TERMS if term in plain}


def _rows(rows: csv.DictReader[str]) -> Iterator[tuple[int, Mapping[str, str]]]:
    for row in rows:
        if any(value for key, value in row.items() if key is not None):
            yield rows.line_num, row


def _name(
    file: str, number: int, entry: Mapping[str, str], by_id: Mapping[str, Mapping[str, str]], problems: list[Problem]
) -> ListedName | None:
    full, status = entry["scientificName"], entry["taxonomicStatus"].casefold()
    if not full:
        problems.append(Problem(file, f"row {number}", "scientificName is empty."))
        return None
    if status not in (*ACCEPTED, *SYNONYM, "doubtful", ""):
        known = ", ".join(dict.fromkeys((*ACCEPTED[:1], *SYNONYM)))
        problems.append(Problem(file, f"row {number}", f"taxonomicStatus “{status}” is not known. Known: {known}."))
        return None
    name, authority = _apart(full, entry.get("scientificNameAuthorship", ""))
    accepted = name if status in ACCEPTED else _accepted(entry, by_id)
    if status in SYNONYM and not accepted:
        words = f"“{full}” is a {status}, but neither acceptedNameUsage nor acceptedNameUsageID says of which name."
        problems.append(Problem(file, f"row {number}", words))
        return None
    return ListedName(
        name=name,
        authority=authority,
        rank=entry.get("taxonRank", "").casefold(),
        status=status,
        accepted=accepted,
        family=entry.get("family", ""),
        according_to=entry.get("nameAccordingTo", ""),
        row=number,
    )


def _accepted(entry: Mapping[str, str], by_id: Mapping[str, Mapping[str, str]]) -> str:
    usage = entry.get("acceptedNameUsage", "")
    pointed = by_id.get(entry.get("acceptedNameUsageID", ""))
    if not usage and pointed:
        usage = pointed["scientificName"]
        return _apart(usage, pointed.get("scientificNameAuthorship", ""))[0]
    return _apart(usage, "")[0]


def _apart(full: str, authority: str) -> tuple[str, str]:
    """Name and authority of a full name: the authority begins with the first bracket or capital after the genus."""
    if authority and full.endswith(authority):
        return full[: -len(authority)].strip(), authority
    words = full.split()
    for place, word in enumerate(words[1:], start=1):
        if word[0] in "([" or word[0].isupper():
            return " ".join(words[:place]), authority or " ".join(words[place:])
    return full, authority
