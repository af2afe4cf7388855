"""A small rule book for tests: facts of the trade (common practice, no source, unless a row cites one). Never shipped."""

# ruff: noqa: E501  (a table)

from copy import deepcopy

PRACTICE = {"kind": "common practice"}


def both(en: str, es: str) -> dict[str, str]:
    return {"en": en, "es": es}


def wrong(key: str, **values: object) -> dict[str, object]:
    return {"key": key, "name": both(f"Mix-up {key}.".replace("-", " "), f"Error {key}.".replace("-", " ")), **values}


def number(key: str, topic: str, operator: str, unit: str, errors: list[dict[str, object]], **rest: object):
    name = key.replace("-", " ")
    limits = {"range": "{low}, {high}"}.get(operator, "{value}")
    return {
        "key": key, "topic": topic, "operator": operator, "unit": unit,
        "quantity": both(name, f"({name})"), "text": both(f"Limit: {limits}.", f"Límite: {limits}."),
        "why": both("It holds better.", "Pega mejor."), "critical": False, "errors": errors, "source": PRACTICE, **rest,
    }  # fmt: skip


def practice(key: str, operator: str, right: str, *others: str, topic: str = "surface", **rest: object):
    name = key.replace("-", " ")
    return {
        "key": key, "topic": topic, "operator": operator, "quantity": both(name, f"({name})"),
        "text": both(right, f"es: {right}"), "why": both("It holds better.", "Pega mejor."), "critical": False,
        "right": both(right, f"es: {right}"), "source": PRACTICE,
        "errors": [wrong("mix-" + "abc"[place], text=both(said, f"es: {said}")) for place, said in enumerate(others)], **rest,
    }  # fmt: skip


NAILING = {
    "key": "nailing-by-slope", "topic": "slope", "operator": "bands", "by": "pitch",
    "quantity": both("extra nails by slope", "clavos adicionales según la pendiente"),
    "text": both("Nail as the slope asks.", "Clave según la pendiente."),
    "why": both("Steep tile creeps.", "La teja empinada se desliza."), "critical": True, "source": PRACTICE,
    "errors": [wrong("always-nail", text=both("Nail the eave course only.", "Clave solo la hilada del alero."))],
    "bands": [
        {"from": "2", "upto": "6", "closed": True, "text": both("No extra nails.", "Sin clavos adicionales.")},
        {"upto": "7", "closed": True,
         "text": both("Nail every third tile in every fifth course.", "Clave una de cada tres tejas cada cinco hiladas.")},
        {"text": both("Nail every tile or use battens.", "Clave todas las tejas o use listones.")},
    ],
}  # fmt: skip

RULES = [
    number("pad-width", "pad", "exact", "in", [wrong("thin", value="1"), wrong("wide", value="2"), wrong("mm", value="3/4")],
           value="1 1/2"),
    number("pad-length", "pad", "min", "in", [wrong("short", value="2"), wrong("bead", value="6"), wrong("half", value="3")],
           value="4", critical=True, drawing={"kind": "pad_length", "profile": "low"}),
    number("contact-area", "pad", "min", "in2", [wrong("touch", value="2"), wrong("pad", value="6"), wrong("all", value="20")],
           value="10", critical=True, tolerance="0", calculation="area"),
    number("headlap", "pad", "min", "in", [wrong("thin", value="1"), wrong("wide", value="6"), wrong("two", value="2")],
           value="3", calculation="exposure", drawing={"kind": "lap"}),
    number("nails-a-tile", "pad", "exact", "nail", [wrong("one", value="1"), wrong("three", value="3"),
           wrong("four", value="4")], value="2", calculation="per_tile"),
    number("first-day", "time", "max", "percent", [wrong("back", value="50"), wrong("most", value="80"),
           wrong("all", value="100")], value="20", calculation="share",
           source={"kind": "law or standard", "citation": "NIOSH Publication 2016-106"}),
    number("hip-bead", "pad", "exact", "in", [wrong("a", value="1/4"), wrong("b", value="1"), wrong("c", value="3/4")],
           value="1/2"),
    number("screw-depth", "pad", "min", "in", [wrong("a", value="1/4"), wrong("b", value="1/2"), wrong("c", value="1 1/2")],
           value="3/4"),
    number("set-time", "time", "max", "min", [wrong("skin", value="10"), wrong("half", value="2"), wrong("cure", value="30")],
           value="4", critical=True),
    number("tack-free", "time", "range", "min", [wrong("a", low="1", high="5"), wrong("b", low="15", high="60"),
           wrong("c", high="30")], low="5", high="15"),
    number("cure", "time", "min", "h", [wrong("a", value="1"), wrong("b", value="2"), wrong("c", value="24")], value="4"),
    number("dispenser", "time", "max", "h", [wrong("a", value="24"), wrong("b", value="48"), wrong("c", value="168")],
           value="72"),
    number("shake", "time", "min", "s", [wrong("a", value="5"), wrong("b", value="60"), wrong("c", value="30")], value="15"),
    number("product-temperature", "weather", "min", "degF", [wrong("air", value="50"), wrong("old", value="60"),
           wrong("hot", value="90")], value="70", critical=True),
    number("air-temperature", "weather", "min", "degF", [wrong("ice", value="32"), wrong("product", value="70"),
           wrong("c", value="40")], value="50"),
    number("use-range", "weather", "range", "degF", [wrong("store", low="40", high="80"), wrong("low", low="50"),
           wrong("high", high="120")], low="65", high="95"),
    number("uplift", "inspection", "min", "lbf", [wrong("a", value="20"), wrong("b", value="50"), wrong("c", value="97")],
           value="35", critical=True,
           source={"kind": "law or standard", "citation": "Florida Building Code, TAS 106 cl. 3.2 (2020)"}),
    number("bonded", "inspection", "min", "percent", [wrong("a", value="90"), wrong("b", value="95"),
           wrong("c", value="100")], value="97",
           source={"kind": "law or standard", "citation": "Florida Building Code, TAS 106 cl. 3.3 (2020)"}),
    number("field-check", "inspection", "exact", "one_in", [wrong("edge", value="5"), wrong("b", value="100"),
           wrong("c", value="20")], value="10", calculation="checks",
           source={"kind": "law or standard", "citation": "Florida Building Code, TAS 106 cl. 4.1 (2020)"}),
    number("least-slope", "slope", "min", "pitch", [wrong("a", value="2.5"), wrong("b", value="4"), wrong("c", value="3")],
           value="2", calculation="slope", drawing={"kind": "slope"}),
    number("steep-roof", "slope", "max", "pitch", [wrong("a", value="2"), wrong("b", value="6"), wrong("c", value="3")],
           value="4", source={"kind": "law or standard", "citation": "29 CFR 1926.500(b)"}),
    number("lift-rate", "inspection", "min", "tile/square", [wrong("a", value="2"), wrong("b", value="5"),
           wrong("c", value="10")], value="1", calculation="per_square"),
    practice("standing-water", "never", "Wait until it is gone.", "Set in the puddle.", "Blow it under the tile.",
             critical=True),
    practice("dust", "always", "Sweep before you set.", "Sweep the next day.", "Foam sticks through dust."),
    practice("valve", "choice", "Open half a turn, then by quarters.", "Open it all at once.", "Leave it shut.",
             "Crack it with a wrench."),
    practice("foam-in-sun", "always", "Coat or point it.", "Leave it bare.", "Wash it with water."),
    {**practice("kit-order", "order", "Connect in order."), "right": None, "errors": [],
     "acts": [{"key": "inspect", **both("Inspect the hose", "Revise la manguera")},
              {"key": "attach", **both("Attach the gun", "Conecte la pistola")},
              {"key": "open", **both("Open the valve", "Abra la válvula")},
              {"key": "purge", **both("Purge the line", "Purgue la línea")}]},
    NAILING,
]  # fmt: skip

CHECKLIST = [
    {"key": "E02", "group": both("Ready", "Listo"), "act": both("Harness on", "Arnés puesto"), "type": "yes_no",
     "weight": "stop"},
    {"key": "E08", "group": both("Kit", "Equipo"), "act": both("Product temperature", "Temperatura del producto"),
     "type": "measured", "rule": "product-temperature", "repeat": 2, "need": 2, "weight": "critical"},
    {"key": "E11", "group": both("Kit", "Equipo"), "act": both("Connects in order", "Conecta en orden"), "type": "rating"},
    {"key": "E17", "group": both("Eave", "Alero"), "act": both("Sweeps", "Barre"), "type": "rating"},
    {"key": "E22", "group": both("Field", "Campo"), "act": both("Set time", "Tiempo"), "type": "measured",
     "rule": "set-time", "repeat": 5, "need": 3, "in_a_row": True, "weight": "critical"},
    {"key": "E29", "group": both("Hip", "Limatesa"), "act": both("Hip piece bedded", "Pieza asentada"), "type": "rating",
     "weight": "critical", "scopes": ["detail:hip"]},
]  # fmt: skip

TOPICS = ("pad", "time", "weather", "inspection", "slope", "surface")


def trade_book() -> dict[str, object]:
    """A fresh copy, free to be spoiled by a test."""
    return deepcopy({
        "format": "headlap-rule-book/1",
        "product": {"name": "Test foam", "kind": "one-component"},
        "topics": [{"key": key, "title": both(key, f"({key})")} for key in TOPICS],
        "rules": RULES,
        "checklist": CHECKLIST,
    })  # fmt: skip


BLUEPRINT = {
    "questions": 10, "pass_right": 8, "all_critical": True, "critical_at_least": 3,
    "topics": {"pad": 2, "time": 2, "weather": 1, "inspection": 2, "slope": 1, "surface": 2},
}  # fmt: skip
