"""Reads `characters/*.toml`, with the shared lists of colours and hosts."""

from __future__ import annotations

from collections.abc import Mapping

from fruitbody.funga.model import STAGES, Character, CharacterKind, Misreading, State
from fruitbody.funga.problems import Problem, unknown
from fruitbody.funga.reading import Reader, Table

NEEDS = ("place", "cap", "underside", "stem", "base", "fresh", "cut", "deposit", "microscope", "reagent")
UNITS = ("mm", "µm", "pores/mm", "ratio")


def read_characters(
    files: Mapping[str, Table], shared: Mapping[str, Table], problems: list[Problem]
) -> dict[str, Character]:
    """Characters in file order. `shared` holds the state lists named by `states_from`."""
    characters: dict[str, Character] = {}
    for file, table in files.items():
        for key, entry in table.items():
            reader = Reader(file, key, entry, problems)
            if key in characters:
                reader.complain("this character id stands in another file too.")
            characters[key] = _read_character(reader, key, len(characters), shared)
    for character in characters.values():
        _check_parent(character, characters, problems)
    return characters


def _read_character(reader: Reader, key: str, order: int, shared: Mapping[str, Table]) -> Character:
    kind = CharacterKind(reader.word("kind", tuple(CharacterKind), default="states", kind="kind of character"))
    states, near = _read_states(reader, shared)
    slip = Reader(reader.file, f"{reader.where}, slip", reader.table_of("slip"), reader.problems)
    parent, enabled = _read_parent(reader)
    possible = reader.table.get("possible")
    reader.taken.update(("possible",))
    ids = tuple(state.id for state in states)
    character = Character(
        id=key,
        organ=reader.text("organ", required=True),
        group=reader.text("group", required=True),
        kind=kind,
        plain=reader.text("plain", required=True),
        definition=reader.text("definition", required=True),
        how=reader.text("how", required=True),
        order=order,
        file=reader.file,
        states=states,
        synonyms=reader.texts("synonyms"),
        unit=reader.word("unit", UNITS, kind="unit"),
        possible=(float(possible[0]), float(possible[1])) if possible else None,
        needs=reader.texts("needs", known=NEEDS, kind="need"),
        minutes=reader.number("minutes", 1.0),
        wait_hours=reader.number("wait_hours", 0.0),
        destroys=reader.flag("destroys"),
        vanishes=reader.flag("vanishes"),
        if_silent=reader.word("if_silent", ids, kind="state"),
        excludes=reader.flag("excludes"),
        offer=reader.flag("offer", default=True),
        ask_finder=reader.flag("ask_finder", default=True),
        measured_with=reader.text("with"),
        parent=parent,
        enabled_by=enabled,
        slip_finder=slip.number("finder", 0.15),
        slip_clinic=slip.number("clinic", 0.05),
        near=near,
        misread=_read_misread(reader, ids),
    )
    _check_kind(reader, character)
    reader.done()
    return character


def _read_states(reader: Reader, shared: Mapping[str, Table]) -> tuple[tuple[State, ...], dict[str, tuple[str, ...]]]:
    source = reader.word("states_from", shared, kind="shared list of states")
    table = shared.get(source, {}) if source else reader.table_of("states")
    reader.taken.add("states")
    states = []
    near: dict[str, tuple[str, ...]] = {}
    for state_id, entry in table.items():
        part = Reader(reader.file, f"{reader.where}, {state_id}", entry, reader.problems)
        lab, spread = entry.get("lab"), entry.get("spread")
        part.taken.update(("lab", "spread"))
        near[state_id] = part.texts("near", known=table, kind="state")
        states.append(
            State(
                id=state_id,
                plain=part.text("plain", required=True),
                synonyms=part.texts("synonyms"),
                plain_es=part.text("plain_es"),
                stands_for=part.word("stands_for", STAGES, kind="stage"),
                lab=tuple(lab) if lab else None,
                spread=tuple(spread) if spread else None,
            )
        )
        part.done()
    beside = Reader(reader.file, f"{reader.where}, near", reader.table_of("near"), reader.problems)
    for state_id in beside.table:
        if state_id not in table:
            reader.problems.append(unknown(reader.file, beside.where, "state", state_id, table))
        near[state_id] = beside.texts(state_id, known=table, kind="state")
    return tuple(states), {state: others for state, others in near.items() if others}


def _read_misread(reader: Reader, ids: tuple[str, ...]) -> tuple[Misreading, ...]:
    misread = []
    for entry in reader.tables("misread"):
        part = Reader(reader.file, f"{reader.where}, misread", entry, reader.problems)
        misread.append(
            Misreading(
                true=part.word("true", ids, kind="state"),
                read=part.word("read", ids, kind="state"),
                finder=part.number("finder", 0.0),
                clinic=part.number("clinic", 0.0),
            )
        )
        part.done()
    return tuple(misread)


def _read_parent(reader: Reader) -> tuple[str, tuple[str, ...]]:
    table = reader.table_of("depends_on")
    if len(table) > 1:
        reader.complain("a character depends on one parent at most.")
    for parent in table:
        part = Reader(reader.file, f"{reader.where}, depends_on", table, reader.problems)
        return parent, part.texts(parent)
    return "", ()


def _check_kind(reader: Reader, character: Character) -> None:
    if character.kind is CharacterKind.MEASURE:
        if not character.unit or not character.possible:
            reader.complain("a measure needs a unit and a possible range.")
    elif not character.states:
        reader.complain("a character needs states.")


def _check_parent(character: Character, characters: Mapping[str, Character], problems: list[Problem]) -> None:
    """The parent exists, comes earlier, has the enabling states: so there can be no cycle."""
    if not character.parent:
        return
    parent = characters.get(character.parent)
    where = f"{character.id}, depends_on"
    if parent is None:
        problems.append(unknown(character.file, where, "character", character.parent, characters))
        return
    if parent.order >= character.order:
        problems.append(Problem(character.file, where, f"“{parent.id}” must stand in the files before its children."))
    if parent.kind is not CharacterKind.STATES:
        problems.append(Problem(character.file, where, f"“{parent.id}” must be a character with exclusive states."))
    for state in character.enabled_by:
        if state not in parent.state_ids:
            problems.append(unknown(character.file, where, f"state of “{parent.id}”", state, parent.state_ids))
