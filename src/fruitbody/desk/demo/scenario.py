"""Reads the scenario file into what the desk's actions take. Nothing here changes the desk."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.utils import timezone

from fruitbody import funga
from fruitbody.desk.bench.seen import BagSeen, KindSeen
from fruitbody.desk.submissions.announced import Announcement, KindTold, PartyTold, Place
from fruitbody.examine.parse import parse_finding

FILE = Path(__file__).with_name("scenario.toml")
Told = Mapping[str, Any]


def read(path: Path = FILE) -> dict[str, Any]:
    """The scenario's tables: clinic, staff, submission."""
    return tomllib.loads(path.read_text(encoding="utf-8"))


def announcement(told: Told, region: str, photos: Mapping[str, list[int]]) -> Announcement:
    """What the finder's form would have handed over. photos: ids of waiting photos by the label of their kind."""
    parties = [party("submitter", told["submitter"])]
    if "client" in told:
        parties.append(party("client", told["client"]))
        parties.append(party("recipient", told["client"]))
    return Announcement(
        form_key=f"demo-{told['key']}",
        eaten=told.get("eaten", "no"),
        eaten_note=told.get("eaten_note", ""),
        question=told["question"],
        question_note=told.get("question_note", ""),
        picked=True,
        place=Place(
            region=region,
            county=told["county"],
            words=told["place"],
            found_on=timezone.localdate() - timedelta(days=told["found_days_ago"]),
        ),
        parties=tuple(parties),
        kinds=tuple(kind(entry, photos.get(entry["label"], [])) for entry in told["kind"]),
        consent_photos=True,
    )


def party(role: str, fields: Told) -> PartyTold:
    return PartyTold(role=role, **fields)


def kind(entry: Told, photos: list[int]) -> KindTold:
    """A kind as the finder tells it: their own label, what they say of it, their photos."""
    said = [{**one, "by": "finder", "seen_on": "told"} for one in entry.get("told", [])]
    return KindTold(
        label=entry["label"],
        findings=tuple(parse_finding(funga.load(), one) for one in said),
        note=entry.get("note", ""),
        photos=tuple(photos),
        reference=entry.get("reference", ""),
    )


def bag(told: Told, kinds: Mapping[str, int], region: str) -> BagSeen:
    """The bag as the front desk finds it. kinds: row ids by the finder's label."""
    came = told["received"]
    seen = tuple(
        KindSeen(
            label=label,
            kind_id=pk,
            material=came.get("material", "fresh-whole"),
            conditions=tuple(came.get("conditions", ())),
        )
        for label, pk in kinds.items()
    )
    return BagSeen(
        form_key=f"demo-bag-{told['key']}", kinds=seen, in_hood=True, origin_region=region, place="Cold room, shelf 2"
    )


def findings(told: Told, number: int) -> list[dict[str, Any]]:
    """What the bench typed of the kind of this number (0 the first, 1 what was split off), field by field."""
    entries = [entry for entry in told.get("finding", []) if entry.get("kind", 0) == number]
    return [{"seen_on": "material", **{key: value for key, value in e.items() if key != "kind"}} for e in entries]
