"""The terminology of an SDD document: frequency words and stages as modifiers, characters with states, their tree."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from fruitbody.funga.model import STAGES, Character, CharacterKind, Funga
from fruitbody.funga.weights import WEIGHTS

LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"
PROPORTIONS = {"mostly": (0.5, 1.0), "at_times": (0.1, 0.5), "seldom": (0.0001, 0.1), "never": (0.0, 0.0)}
"""About how often a state is seen, by its score word: for programs that want a number; our own rests on the words."""
assert list(PROPORTIONS) == list(WEIGHTS)


def part(parent: ET.Element, tag: str, **attributes: str) -> ET.Element:
    """A new element within another."""
    return ET.SubElement(parent, tag, attributes)


def represent(element: ET.Element, label: str, *, detail: str = "", language: str = "", spanish: str = "") -> None:
    """The label of an object for people, and what more there is to say of it. language: of the label, where it is no
    English."""
    representation = part(element, "Representation")
    labelled = part(representation, "Label")
    labelled.text = label
    if language:
        labelled.set(LANGUAGE, language)
    if spanish:
        other = part(representation, "Label")
        other.set(LANGUAGE, "es")
        other.text = spanish
    if detail:
        part(representation, "Detail").text = detail


def character_id(character: Character) -> str:
    return f"c-{character.id}"


def state_id(character: Character, state: str) -> str:
    """States are called within the whole document, so the character's id goes before."""
    return f"s-{character.id}-{state}"


def modifier_id(word: str) -> str:
    """The id of the modifier for a score word or a stage."""
    return f"m-{word}"


def add_modifiers(dataset: ET.Element) -> None:
    """Two concepts that hold modifiers (how often, at what age), and one for every organ of the tree to come."""
    concepts = part(dataset, "DescriptiveConcepts")
    often = part(concepts, "DescriptiveConcept", id="how-often")
    represent(often, "how often a state is seen")
    words = part(often, "Modifiers", ordered="true")
    for word, (least, most) in PROPORTIONS.items():
        modifier = part(words, "Modifier", id=modifier_id(word))
        represent(modifier, word.replace("_", " "))
        part(modifier, "ModifierClass").text = "Frequency"
        part(modifier, "ProportionRange", lowerestimate=f"{least:g}", upperestimate=f"{most:g}")
    age = part(concepts, "DescriptiveConcept", id="stage")
    represent(age, "how old the fruit body is")
    stages = part(age, "Modifiers", ordered="true")
    for stage in STAGES:
        modifier = part(stages, "Modifier", id=modifier_id(stage))
        represent(modifier, stage)
        part(modifier, "ModifierClass").text = "OtherModifierClass"


def add_characters(dataset: ET.Element, known: Funga) -> ET.Element:
    """Every character with its states, or its unit. Returns the element that holds them."""
    characters = part(dataset, "Characters")
    for character in known.characters.values():
        if character.kind is CharacterKind.MEASURE:
            element = part(characters, "QuantitativeCharacter", id=character_id(character))
            represent(element, character.plain, detail=character.definition)
            part(part(element, "Assumptions"), "MeasurementScale").text = "Ratio"
            if character.unit != "ratio":
                part(part(element, "MeasurementUnit"), "Label", role="Abbrev").text = character.unit
        else:
            element = part(characters, "CategoricalCharacter", id=character_id(character))
            represent(element, character.plain, detail=character.definition)
            states = part(element, "States")
            for state in character.states:
                defined = part(states, "StateDefinition", id=state_id(character, state.id))
                represent(defined, state.plain, spanish=state.plain_es)
    return characters


def add_character_tree(dataset: ET.Element, known: Funga) -> None:
    """All characters in the order in which evidence is told, with the states that make each of them applicable."""
    tree = part(part(dataset, "CharacterTrees"), "CharacterTree", id="order-of-evidence")
    represent(tree, "Characters in the order in which evidence is told")
    nodes = part(tree, "Nodes")
    for character in known.characters.values():
        node = part(nodes, "CharNode")
        if character.parent:
            enabling = part(part(node, "DependencyRules"), "OnlyApplicableIf")
            for state in character.enabled_by:
                part(enabling, "State", ref=state_id(known.characters[character.parent], state))
        part(node, "Character", ref=character_id(character))
