"""The fixed sentences: cautions and hazards, word for word, in English and Spanish.

They stand on every public page and every report in these words and in no others, so that each is reviewed once.
Sources of the directions: the design's rules and practice.md B of this project; the poison centre number is the
published number of the United States.
"""

from __future__ import annotations

from typing import Final

LANGUAGES: Final = ("en", "es")

CAUTIONS: Final[dict[str, dict[str, str]]] = {
    "not_eating": {
        "en": "This report does not say whether any mushroom is safe to eat. Do not eat any wild mushroom because "
        "of it.",
        "es": "Este informe no dice si algún hongo se puede comer sin peligro. No coma ningún hongo silvestre por "
        "causa de él.",
    },
    "these_pieces": {
        "en": "This names the pieces we examined. Other mushrooms from the same place may be another kind.",
        "es": "Esto nombra los ejemplares que examinamos. Otros hongos del mismo lugar pueden ser de otra especie.",
    },
    "eating_not_answered": {
        "en": "We do not answer whether it can be eaten.",
        "es": "No respondemos si se puede comer.",
    },
    "poisoning": {
        "en": "Has any person or animal eaten it? Call now. Do not wait for symptoms and do not wait for us.",
        "es": "¿Lo ha comido alguna persona o algún animal? Llame ahora. No espere los síntomas ni nos espere a "
        "nosotros.",
    },
    "poisoning_people": {
        "en": "People: call the poison centre (United States 1-800-222-1222). Collapse, fits or trouble breathing: "
        "call the emergency number.",
        "es": "Personas: llame al centro de toxicología (Estados Unidos 1-800-222-1222). Desmayo, convulsiones o "
        "dificultad para respirar: llame al número de emergencias.",
    },
    "poisoning_animals": {
        "en": "Animals: call your vet or an animal poison line (fees may apply).",
        "es": "Animales: llame a su veterinario o a una línea de toxicología animal (puede tener costo).",
    },
    "keep": {
        "en": "Keep whole mushrooms from the same place, in paper, in the refrigerator, marked “do not eat”. "
        "Photograph any leftovers and note the times.",
        "es": "Guarde hongos enteros del mismo lugar, en papel, en el refrigerador, con el rótulo «no comer». "
        "Fotografíe las sobras y anote las horas.",
    },
    "not_watched": {
        "en": "This form is not watched at night or at weekends.",
        "es": "Nadie vigila este formulario de noche ni los fines de semana.",
    },
    "late_syndromes": {
        "en": "Early symptoms do not exclude the late, deadly syndromes.",
        "es": "Los síntomas tempranos no excluyen los síndromes tardíos y mortales.",
    },
    "tree": {
        "en": "We name the fungus. We have not inspected the tree and do not rate its safety.",
        "es": "Nombramos el hongo. No hemos inspeccionado el árbol ni calificamos su seguridad.",
    },
    "tree_prompt_referral": {
        "en": "This fungus can weaken roots or trunk before the crown shows it. Have the tree inspected on site by "
        "a qualified tree-risk assessor promptly. If it leans newly, the soil lifts, or it cracks: keep "
        "everybody away now and call the owner or the emergency number; lines: the utility.",
        "es": "Este hongo puede debilitar las raíces o el tronco antes de que la copa lo muestre. Haga inspeccionar"
        " el árbol en el lugar, sin demora, por un evaluador calificado de riesgo de árboles. Si se inclina "
        "de nuevo, se levanta el suelo o se agrieta: aleje a todos ahora y llame al dueño o al número de "
        "emergencias; si hay cables: a la compañía eléctrica.",
    },
    "no_climbing": {
        "en": "Do not climb. Do not cut into the tree.",
        "es": "No trepe. No corte el árbol.",
    },
    "house": {
        "en": "We name the fungus. We have not inspected the house. Ask a building professional, and find the "
        "source of water.",
        "es": "Nombramos el hongo. No hemos inspeccionado la casa. Consulte a un profesional de la construcción y "
        "busque de dónde viene el agua.",
    },
    "controlled": {
        "en": "This kind contains substances controlled by law. We do not give advice on use, growing or strength, "
        "do not return it, and destroy it by our rules.",
        "es": "Esta especie contiene sustancias controladas por la ley. No damos consejos sobre uso, cultivo ni "
        "potencia, no la devolvemos y la destruimos según nuestras reglas.",
    },
    "on_hold": {
        "en": "We have asked another laboratory to confirm. Please do not move plants or wood from the site until "
        "you hear from us.",
        "es": "Hemos pedido a otro laboratorio que confirme. Por favor, no mueva plantas ni madera del lugar hasta "
        "que le avisemos.",
    },
    "replaced": {
        "en": "This report replaces an earlier one. Please do not use the earlier one, and tell whoever has it from"
        " you.",
        "es": "Este informe reemplaza a uno anterior. Por favor, no use el anterior y avise a quienes lo recibieron"
        " de usted.",
    },
    "not_accredited": {
        "en": "This clinic is not accredited for this.",
        "es": "Esta clínica no está acreditada para esto.",
    },
    "inhalation": {
        "en": "Do not sniff puffballs or mouldy ones, and do not breathe in their dust.",
        "es": "No huela hongos de polvo ni enmohecidos, y no respire su polvo.",
    },
    "handling": {
        "en": "Wash hands after touching it; keep it out of the kitchen and away from children and pets.",
        "es": "Lávese las manos después de tocarlo; manténgalo fuera de la cocina y lejos de niños y mascotas.",
    },
    "raw": {
        "en": "People have been made ill by eating this kind raw. That says nothing in favour of it when cooked.",
        "es": "Esta especie ha enfermado a personas que la comieron cruda. Eso no dice nada a favor de ella cocida.",
    },
    "no_evidence": {
        "en": "We do not take evidence for court cases or insurance claims unless agreed in writing first.",
        "es": "No recibimos pruebas para juicios ni reclamaciones de seguros salvo acuerdo previo por escrito.",
    },
    "only_items": {
        "en": "The results hold only for the pieces received and examined.",
        "es": "Los resultados valen solo para los ejemplares recibidos y examinados.",
    },
}


def caution(key: str, language: str) -> str:
    """The fixed sentence `key` in `language`.

    Raises KeyError, with a sentence that names the known ones, when either is unknown.
    """
    try:
        return CAUTIONS[key][language]
    except KeyError as error:
        raise KeyError(
            f"There is no fixed sentence “{key}” in “{language}”. Keys: {', '.join(CAUTIONS)}; languages: en, es."
        ) from error
