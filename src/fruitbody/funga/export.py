"""Characters and taxa as plain data (the terminal's contract) and as text for a reader."""

from __future__ import annotations

from typing import Any

from fruitbody.funga.model import Character, Funga, MeasureScore, Score, TakenFor, Taxon
from fruitbody.funga.texts import means_of, what_of


def character_entry(character: Character) -> dict[str, Any]:
    """One character as JSON-ready data."""
    return {
        "id": character.id,
        "organ": character.organ,
        "group": character.group,
        "kind": character.kind.value,
        "unit": character.unit,
        "plain": character.plain,
        "definition": character.definition,
        "how": character.how,
        "states": [{"id": s.id, "plain": s.plain, "synonyms": list(s.synonyms)} for s in character.states],
        "synonyms": list(character.synonyms),
        "needs": list(character.needs),
        "depends_on": {character.parent: list(character.enabled_by)} if character.parent else {},
        "excludes": character.excludes,
        "minutes": character.minutes,
        "wait_hours": character.wait_hours,
        "destroys": character.destroys,
        "vanishes": character.vanishes,
        "if_silent": character.if_silent,
        "possible": list(character.possible) if character.possible else None,
    }


def score_entry(score: Score) -> dict[str, Any]:
    """A score as JSON-ready data."""
    if isinstance(score, MeasureScore):
        return {"min": score.min, "low": score.low, "high": score.high, "max": score.max}
    return {word: list(getattr(score, word)) for word in ("mostly", "at_times", "seldom", "never")}


def taxon_entry(taxon: Taxon) -> dict[str, Any]:
    """One taxon as JSON-ready data. A score by stage shows its mature one (else its first), all under `by_stage`."""
    scores: dict[str, Any] = {}
    for (character, stage), score in taxon.scores.items():
        entry = score_entry(score)
        if not stage:
            scores[character] = entry
            continue
        stages = {**scores.get(character, {}).get("by_stage", {}), stage: entry}
        shown = stages.get("mature", next(iter(stages.values())))
        scores[character] = {**shown, "by_stage": stages}
    return {
        "id": taxon.id,
        "name": taxon.name,
        "authority": taxon.authority,
        "rank": taxon.rank,
        "genus": taxon.genus,
        "family": taxon.family,
        "according_to": taxon.according_to,
        "synonyms": list(taxon.synonyms),
        "vernacular": {lang: list(names) for lang, names in taxon.vernacular.items()},
        "hazard_groups": list(taxon.hazard),
        "hazard_words": taxon.hazard_words,
        "way_of_life": list(taxon.way_of_life),
        "rot": taxon.rot,
        "regions": {region: str(frequency) for region, frequency in taxon.regions.items()},
        "months": list(taxon.months),
        "what": dict(taxon.what),
        "says": list(taxon.says),
        "basis": {part: list(sources) for part, sources in taxon.basis.items()},
        "taken_for": [
            {"taxon": p.taxon, "settle": list(p.settle), "not_here": p.not_here, "note": p.note}
            for p in taxon.taken_for
        ],
        "scores": scores,
    }


def score_words(score: Score, unit: str) -> str:
    """A score in words: 'mostly olive or green; at times white', '8–10 µm'."""
    if isinstance(score, MeasureScore):
        least = f"({score.min:g}–) " if score.min is not None and score.min < score.low else ""
        most = f" (–{score.max:g})" if score.max is not None and score.max > score.high else ""
        return f"{least}{score.low:g}–{score.high:g}{most} {unit}".replace(" ratio", "")
    parts = []
    for word in ("mostly", "at_times", "seldom", "never"):
        states = getattr(score, word)
        if states:
            parts.append(f"{word.replace('_', ' ')} {' or '.join(s.replace('-', ' ') for s in states)}")
    return "; ".join(parts)


def settled_words(pair: TakenFor) -> str:
    """What settles a pair: 'settle by deposit_colour', or 'not separable here without a sequence'."""
    return f"not separable here {pair.not_here}" if pair.not_here else f"settle by {', '.join(pair.settle)}"


def taxon_text(known: Funga, taxon: Taxon) -> str:
    """A taxon's page as plain text. Names that promise food are names only."""
    lines = [f"{taxon.name} {taxon.authority}".strip() + f"  [{taxon.rank}, {taxon.family}]"]
    if what_of(taxon):
        lines.append(what_of(taxon))
    lines.append(f"according to: {taxon.according_to}")
    if taxon.synonyms:
        lines.append(f"also as: {'; '.join(taxon.synonyms)}")
    names = [name for language in taxon.vernacular.values() for name in language]
    if names:
        lines.append(f"names in use: {', '.join(names)}")
    groups = [known.hazard_groups[g] for g in taxon.hazard]
    danger = "; ".join(f"{g.plain} ({g.grade})" for g in groups) or f"{taxon.hazard_words} (no statement of safety)"
    lines.append(f"hazard: {danger}")
    lines.append(
        f"way of life: {', '.join(taxon.way_of_life)}; rot: {taxon.rot}; months: {', '.join(map(str, taxon.months))}"
    )
    for (character_id, stage), score in taxon.scores.items():
        character = known.characters[character_id]
        at = f" ({stage})" if stage else ""
        lines.append(f"  {character.plain}{at}: {score_words(score, character.unit)}")
    for pair in taxon.taken_for:
        other = known.taxa.get(pair.taxon)
        lines.append(f"taken for {other.name if other else pair.taxon}: {settled_words(pair)}. {pair.note}")
    lines += [f"{topic}: {words}" for topic, words in means_of(known, taxon).items()]
    lines += [f"basis, {part}: {', '.join(sources)}" for part, sources in taxon.basis.items()]
    lines.append("This does not say whether any mushroom is safe to eat.")
    return "\n".join(lines)
