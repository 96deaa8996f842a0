"""Works out score and decision from nothing but the words printed on a sheet. Imports none of the program.

What a person with a pencil does: add the points, then ask the eight steps in order and stop at the first that holds.
"""

import re

ORDER = ("Divers", "Divers with controls", "Vehicle first", "Vehicle only", "Hold")
DIVERS, CONTROLS, FIRST, ONLY, HOLD = ORDER
FOOTER = re.compile(r"Code [0-9A-Z]{10}, Revision \d+, .{4,60}?Page \d+ of \d+")


def plain(text):
    return " ".join(FOOTER.sub(" ", " ".join(text.split())).split())


# The same words as printed on a Spanish sheet, longest first: a table that somebody could clip to the board.
SPANISH = {
    "Solo el vehículo si puede; si no, No entra nadie": "Vehicle only if the vehicle can, otherwise Hold",
    "La suma": "The sum", "continuación": "continued", "Cómo sale la decisión": "How the decision follows",
    "nadie a quien salvar, y un aviso de primero el vehículo o un puntaje de más de": "nobody to save, and a vehicle-first trigger or a score over",
    "un alto para todos": "a stop for everybody", "un alto para los buzos": "a stop for divers",
    "un rescate, y un puntaje hasta": "a rescue, and a score up to", "un puntaje de más de": "a score over", "o un control": "or a control",
    "No entra nadie": "Hold", "Solo el vehículo": "Vehicle only", "Primero el vehículo": "Vehicle first", "Buzos con controles": "Divers with controls", "Buzos": "Divers",
    "que detienen": "that hold", "faltan": "missing", "altos": "stops", "avisos": "triggers", "controles": "controls", "puntaje": "score", "Puntaje": "Score",
    "vehículo no puede": "vehicle cannot", "vehículo puede": "vehicle can", "vehículo ninguno": "vehicle none", "vehículo: no se sabe": "vehicle not known",
    "rescate: no se sabe": "rescue not known", "rescate sí": "rescue yes", "rescate no": "rescue no",
    "Calculado": "Computed", "el mismo": "the same", "son distintos": "they differ", "parte": "part", "Código": "Code", "Revisión": "Revision", "Página": "Page",
}  # fmt: skip


def from_spanish(text):
    """The words that the pencil looks for, back from a Spanish sheet by the table above and nothing else."""
    found = re.sub(r"(\d+) de (\d+)", r"\1 of \2", " ".join(text.split()))
    for spanish in sorted(SPANISH, key=len, reverse=True):
        found = re.sub(rf"(?<!\w){re.escape(spanish)}(?!\w)", SPANISH[spanish], found)
    return found


def points(text):
    """Every number of points printed behind a factor, from page one and where its sum continues."""
    parts = re.findall(
        r"The sum(?:, continued)?(?:, part \d+ of \d+)?\. (.*?)(?:= (\d+)|(?= \d+ The sum))", plain(text)
    )
    found = [int(n) for body, _ in parts for n in re.findall(r": (\d+)(?= |$)", body)]
    return found, {int(total) for _, total in parts if total}


def score(text):
    return min(100, sum(points(text)[0]))


def facts(text):
    text = plain(text)
    table = text[text.index("How the decision follows") :]

    def one(pattern):
        return re.search(pattern, table).group(1)

    return {
        "missing": int(one(r"missing (\d+)")),
        "everybody": int(one(r"a stop for everybody Hold stops (\d+)")),
        "divers": int(one(r"a stop for divers .*?stops (\d+); vehicle")),
        "vehicle": one(r"a stop for divers .*?stops \d+; vehicle (can(?:not)?|none|not known)"),
        "rescue": one(r"rescue (yes|no|not known); triggers"),
        "triggers": int(one(r"triggers (\d+), that hold")),
        "that hold": int(one(r"that hold (\d+); score")),
        "controls": int(one(r"score \d+; controls (\d+)")),
        "line nobody": int(one(r"vehicle-first trigger or a score over (\d+)")),
        "line rescue": int(one(r"a rescue, and a score up to (\d+)")),
        "line divers": int(one(r"a score over (\d+), or a control")),
    }


def decision(text):
    """The decision; where something is not known, the most cautious that it may be."""
    known = facts(text)
    rescues = ("yes", "no") if known["rescue"] == "not known" else (known["rescue"],)
    vehicles = ("can", "cannot", "none") if known["vehicle"] == "not known" else (known["vehicle"],)
    answers = [_decide(known, score(text), rescue, vehicle) for rescue in rescues for vehicle in vehicles]
    return max(answers, key=ORDER.index)


def _decide(known, total, rescue, vehicle):
    only = ONLY if vehicle == "can" else HOLD
    if known["missing"] or known["everybody"]:
        return HOLD
    if known["divers"]:
        return only
    over = total > known["line nobody"]
    if rescue == "no" and (known["triggers"] or over):
        if vehicle == "none":
            return HOLD if known["that hold"] or over else CONTROLS
        return FIRST if vehicle == "can" else HOLD
    if rescue == "yes":
        return CONTROLS if total <= known["line rescue"] else only
    return CONTROLS if total > known["line divers"] or known["controls"] else DIVERS


def computed(text):
    """The decision that the sheet says was computed."""
    found = re.search(r"Computed: (.*?) (?:the same|they differ)", plain(text)).group(1)
    return next(word for word in reversed(ORDER) if found.startswith(word))


def printed_score(text):
    return int(re.search(r"Score (\d+) of 100", plain(text)).group(1))
