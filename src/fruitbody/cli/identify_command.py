"""`fruitbody identify FILE`: findings in a TOML or JSON file, what fits out."""

from __future__ import annotations

import argparse
import json
import tomllib
from dataclasses import asdict
from pathlib import Path
from typing import Any

from fruitbody import funga
from fruitbody.examine.finding import FindingError
from fruitbody.examine.parse import parse_findings
from fruitbody.funga.terms import nearest
from fruitbody.identify import Case, Identification, identify
from fruitbody.identify.identify import Candidate
from fruitbody.identify.words import strength

TOP_FIELDS = ("month", "region", "material", "conditions", "fruit_bodies", "finding")


def add(commands: Any) -> None:
    parser = commands.add_parser("identify", help="rank what fits a file of findings", description=__doc__)
    parser.add_argument("file", type=Path, metavar="FILE", help="TOML or JSON: month, region, [[finding]] ...")
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--lenient", action="store_true", help="set unknown terms aside and list them")
    parser.add_argument("--most", type=int, default=None, metavar="N", help="print at most N candidates")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    known = funga.load()
    case, aside = read_case(known, _read(options.file), lenient=options.lenient)
    result = identify(known, case, most=options.most)
    if options.json:
        print(json.dumps(as_json(result, aside), ensure_ascii=False, indent=2))
    else:
        print(as_text(known, result, aside))
    return 0


def _read(path: Path) -> dict[str, Any]:
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise FindingError(f"There is no file {path}. Name a TOML or JSON file of findings.") from None
    try:
        data = json.loads(text) if path.suffix.lower() == ".json" else tomllib.loads(text)
    except ValueError as error:
        raise FindingError(f"{path} cannot be read: {error}. Mend that place and try again.") from None
    if not isinstance(data, dict):
        raise FindingError(f"{path} must hold a table with month, region and findings.")
    return data


def read_case(known: funga.Funga, data: dict[str, Any], *, lenient: bool = False) -> tuple[Case, tuple[str, ...]]:
    """A Case from the file's table, and sentences about what was set aside. Raises FindingError."""
    for key in data:
        if key not in TOP_FIELDS:
            raise FindingError(
                f"There is no field “{key}”. Did you mean {', '.join(nearest(key, TOP_FIELDS)) or 'finding'}?"
            )
    month, region = data.get("month"), str(data.get("region", "")).upper()
    if month is not None and (isinstance(month, bool) or not isinstance(month, int) or not 1 <= month <= 12):
        raise FindingError(f"“month” is a number from 1 to 12, not “{month}”.")
    bodies, conditions = data.get("fruit_bodies"), data.get("conditions", [])
    if bodies is not None and (isinstance(bodies, bool) or not isinstance(bodies, int) or bodies < 1):
        raise FindingError(f"“fruit_bodies” is how many there are, a whole number from 1, not “{bodies}”.")
    if not isinstance(conditions, list):
        raise FindingError('“conditions” is a list of words, such as ["base-missing"].')
    entries = data.get("finding", [])
    if not isinstance(entries, list):
        raise FindingError("“finding” is a list of tables: in TOML write [[finding]] before each one.")
    findings, aside = parse_findings(known, entries, lenient=lenient)
    notes = list(aside)
    if region and not known.region_of(region):
        notes.append(f"The region “{region}” belongs to no region of the funga (ISO 3166-2 is wanted, such as US-NY).")
    case = Case(
        findings=findings,
        month=month,
        region=region,
        material=_known("material", str(data.get("material", "fresh-whole")), known.material_kinds),
        conditions=tuple(_known("condition", str(c), known.conditions) for c in conditions),
        fruit_bodies=bodies,
    )
    return case, tuple(notes)


def _known(kind: str, term: str, words: Any) -> str:
    if words and term not in words:
        raise FindingError(
            f"There is no {kind} “{term}”. Nearest known: {', '.join(nearest(term, words)) or ', '.join(words)}."
        )
    return term


def as_json(result: Identification, aside: tuple[str, ...]) -> dict[str, Any]:
    """The terminal's contract (docs/identify.md)."""
    return {
        "candidates": [_candidate(candidate) for candidate in result.candidates],
        "other_species": [{"name": s.name, "probability": s.probability} for s in result.other_species[:20]],
        "ranks": [asdict(share) for share in result.ranks],
        "proposal": _only(asdict(result.proposal), "name", "rank", "qualifier", "probability"),
        "none_of_these": result.none_of_these,
        "fit": result.fit,
        "fits_badly": result.fits_badly,
        "findings_used": result.used,
        "not_excluded": [
            _only(asdict(s), "group", "plain", "syndrome", "grade", "members", "settle_by", "listed")
            for s in result.not_excluded
        ],
        "excluded": [asdict(exclusion) for exclusion in result.excluded],
        "look_next": [asdict(look) for look in result.look_next],
        "set_aside": [
            *(asdict(one) for one in result.set_aside),
            *({"character": "", "finding": "", "because": words} for words in aside),
        ],
        "funga": result.funga_digest,
    }


def _candidate(candidate: Candidate) -> dict[str, Any]:
    evidence = [{"character": w.character, "finding": w.finding, "decibans": w.decibans} for w in candidate.evidence]
    return {**_only(asdict(candidate), "id", "name", "rank", "probability", "compared_on"), "evidence": evidence}


def _only(table: dict[str, Any], *keys: str) -> dict[str, Any]:
    return {key: table[key] for key in keys}


def as_text(known: funga.Funga, result: Identification, aside: tuple[str, ...]) -> str:
    """The same for a reader at the terminal: words first, numbers behind."""
    lines = [
        f"Proposed: {result.proposal.name} ({result.proposal.rank}), probability {result.proposal.probability:.2f}"
    ]
    if result.fits_badly:
        lines.append(f"Even the best fits unusually badly (fit {result.fit:.1f}): look again, or think of a stranger.")
    lines.append("\nWhat fits")
    for c in result.candidates[:8]:
        lines.append(f"  {c.probability:6.3f}  {c.name}  (compared on {c.compared_on} of {result.used} findings)")
        for w in sorted(c.evidence, key=lambda w: -abs(w.decibans))[:4]:
            lines.append(f"            {strength(w.decibans)}: {w.character} {w.finding} ({w.decibans:+.1f} dB)")
    lines.append(f"  {result.none_of_these:6.3f}  none of these")
    lines.append("\nDangerous groups not excluded")
    for s in result.not_excluded:
        if s.listed == "first":
            lines.append(
                f"  {s.plain} ({s.grade}); settle by {', '.join(s.settle_by) or 'nothing left on this material'}"
            )
    folded = sum(s.listed == "folded" for s in result.not_excluded)
    if folded:
        lines.append(f"  also not excluded ({folded})")
    for e in result.excluded:
        lines.append(f"  excluded for fruit body {e.fruit_body or 'as a whole'}: {e.group} because {e.because}")
    lines.append("\nLook next")
    for look in result.look_next[:8]:
        gone = ", will be gone tomorrow" if look.vanishes else ""
        wait = f", wait {look.wait_hours:g} h" if look.wait_hours else ""
        plain = known.characters[look.character].plain
        lines.append(
            f"  {plain}: {look.bits:.2f} bits, {look.danger_bits:.2f} on danger; {look.minutes:g} min{wait}{gone}"
        )
    lines += [f"\nSet aside: {s.character} {s.finding}: {s.because}" for s in result.set_aside]
    lines += [f"\nSet aside: {words}" for words in aside]
    lines.append("\nThis does not say whether any mushroom is safe to eat. Do not eat any wild mushroom because of it.")
    return "\n".join(lines)
