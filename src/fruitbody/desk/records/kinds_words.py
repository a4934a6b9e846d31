"""The words of the public pages of kinds, in English and Spanish. Cautions and meanings are not here: they are fixed
sentences of `report/cautions.py` and the funga."""

from __future__ import annotations

from typing import Final

from django.http import HttpRequest
from django.utils.translation.trans_real import parse_accept_lang_header

LANGUAGES: Final = {"en": "English", "es": "Español"}

WORDS: Final[dict[str, dict[str, str]]] = {
    "kinds": {"en": "Kinds", "es": "Especies"},
    "title": {"en": "What we know of a kind", "es": "Lo que sabemos de una especie"},
    "content": {"en": "To the content", "es": "Ir al contenido"},
    "pages": {"en": "Pages", "es": "Páginas"},
    "language": {"en": "Language", "es": "Idioma"},
    "send": {"en": "Send a mushroom", "es": "Enviar un hongo"},
    "staff": {"en": "For the staff", "es": "Para el personal"},
    "eaten": {"en": "If anyone has eaten it", "es": "Si alguien lo ha comido"},
    "eaten_call": {"en": "Eaten by anyone? Call now:", "es": "¿Alguien lo ha comido? Llame ahora:"},
    "poison_centre": {"en": "Poison centre", "es": "Centro de toxicología"},
    "emergency": {"en": "Emergency", "es": "Emergencias"},
    "any_name": {"en": "Any name: new, old or in use", "es": "Cualquier nombre: nuevo, antiguo o común"},
    "look_up": {"en": "Look up", "es": "Buscar"},
    "all": {"en": "All kinds", "es": "Todas las especies"},
    "not_found": {"en": "No kind here goes by “{typed}”.", "es": "Ninguna especie lleva aquí el nombre «{typed}»."},
    "near": {"en": "Near to it:", "es": "Nombres parecidos:"},
    "genus_alone": {"en": "Try the genus alone.", "es": "Pruebe solo con el género."},
    "count": {"en": "{n} of {all} kinds.", "es": "{n} de {all} especies."},
    "names_only": {
        "en": "Names in use are names and nothing more: none of them says anything about eating.",
        "es": "Los nombres comunes son solo nombres: ninguno dice nada sobre comer.",
    },
    "found_accepted": {"en": "“{typed}” stands here as", "es": "«{typed}» figura aquí como"},
    "found_old": {"en": "“{typed}” is an old or other name of", "es": "«{typed}» es un nombre antiguo o distinto de"},
    "found_use": {"en": "“{typed}” is a name in use of", "es": "«{typed}» es un nombre común de"},
    "found_split": {
        "en": "“{typed}” is split off today; here it stands within",
        "es": "«{typed}» hoy se separa; aquí queda dentro de",
    },
    "found_near": {
        "en": "Nothing here is called “{typed}”; the nearest name belongs to",
        "es": "Nada se llama aquí «{typed}»; el nombre más parecido es de",
    },
    "found_controlled": {
        "en": "“{typed}” leads to a kind with substances controlled by law:",
        "es": "«{typed}» lleva a una especie con sustancias controladas por la ley:",
    },
    "also_called": {"en": "Also called", "es": "También llamado"},
    "old_names": {"en": "Old and other names", "es": "Nombres antiguos y otros"},
    "family": {"en": "Family", "es": "Familia"},
    "what": {"en": "What it is", "es": "Qué es"},
    "means": {"en": "What it means", "es": "Qué significa"},
    "when": {"en": "When and where", "es": "Cuándo y dónde"},
    "found_in": {"en": "Found in {season}", "es": "Se encuentra: {season}"},
    "not_known": {"en": "not known", "es": "no se sabe"},
    "not_for_naming": {
        "en": "Do not use this page to tell kinds apart. It tells what a kind means once it has been named. It does "
        "not show what else looks like it, and no description or picture names a mushroom.",
        "es": "No use esta página para distinguir especies. Dice qué significa una especie una vez que se le ha dado "
        "nombre. No muestra qué otros hongos se le parecen, y ninguna descripción ni foto da nombre a un hongo.",
    },
    "have_one": {
        "en": "You have one and want to know what it is?",
        "es": "¿Tiene uno y quiere saber qué es?",
    },
    "lawn": {"en": "Lawn", "es": "Césped"},
    "tree": {"en": "Tree", "es": "Árbol"},
    "house": {"en": "House", "es": "Casa"},
    "people": {"en": "People", "es": "Personas"},
    "animals": {"en": "Animals", "es": "Animales"},
}

RANKS_EN: Final = {"thing": "no fungus"}
RANKS_ES: Final = {
    "species": "especie", "species group": "grupo de especies", "genus": "género", "section": "sección",
    "thing": "no es un hongo", "form of growth": "forma de crecimiento",
}  # fmt: skip
OFTEN_ES: Final = {"abundant": "abundante", "common": "común", "occasional": "ocasional", "rare": "rara"}
REGIONS_ES: Final = {
    "na-northeast": "noreste de Norteamérica",
    "na-southeast": "sureste de Norteamérica",
    "na-midwest": "medio oeste y llanuras",
    "na-pacific": "costa del Pacífico",
    "na-southwest": "Montañas Rocosas y suroeste",
    "na-boreal": "Alaska y extremo norte de América",
    "eu-atlantic": "Islas Británicas y Europa atlántica",
    "eu-central": "Europa central",
    "eu-north": "norte de Europa",
    "eu-south": "sur de Europa",
    "elsewhere": "otras partes del mundo",
}


def words(language: str) -> dict[str, str]:
    return {key: told[language] for key, told in WORDS.items()}


def language_of(request: HttpRequest) -> str:
    """'en' or 'es': what the address asks for (?lang=es), else the browser's first wish that we have, else English."""
    asked = request.GET.get("lang", "")
    if asked in LANGUAGES:
        return asked
    wishes = parse_accept_lang_header(request.headers.get("Accept-Language", ""))
    known = (wish.split("-")[0] for wish, _ in wishes)
    return next((wish for wish in known if wish in LANGUAGES), "en")
