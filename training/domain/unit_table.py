"""The units a roofer meets: what `pint` calls them, how they are written, which words are understood."""

from dataclasses import dataclass
from fractions import Fraction

from training.domain.text import Text


@dataclass(frozen=True)
class Unit:
    """One unit.

    kind: only units of one kind convert into each other. pint: its name for `pint`, empty for plain counts.
    one, many: how it is written after the number. step: the smallest division people read, in this unit.
    lowest, highest: no value lies outside. scale: how many of `pint` make one. fractions: shown as on a tape.
    metric: the unit shown beside it where a person may need both.
    words: what people type, folded (small letters, no accents, no full stops).
    """

    key: str
    kind: str
    pint: str
    one: Text
    many: Text
    words: tuple[str, ...] = ()
    metric: str = ""
    step: Fraction = Fraction(1)
    lowest: Fraction = Fraction(0)
    highest: Fraction | None = None
    scale: int = 1
    fractions: bool = False


def _sign(key: str, kind: str, pint: str, sign: str, words: str, **rest: object) -> Unit:
    """A unit written with the same sign in every language."""
    text = Text(sign, sign)
    return Unit(key, kind, pint, text, text, tuple(words.split(",")), **rest)  # type: ignore[arg-type]


def _named(key: str, kind: str, pint: str, names: str, words: str = "", **rest: object) -> Unit:
    """A unit written with a word: `names` is one|many|una|varias."""
    one, many, una, varias = names.split("|")
    typed = tuple(dict.fromkeys([*filter(None, words.split(",")), *names.lower().split("|")]))
    return Unit(key, kind, pint, Text(one, una), Text(many, varias), typed, **rest)  # type: ignore[arg-type]


_INCH_WORDS = '",in,inch,inches,pulg,pulgs,plg,pulgada,pulgadas'
_FOOT_WORDS = "',ft,foot,feet,pie,pies"

_UNITS = (
    _named("in", "length", "inch", "in|in|pulg|pulg", _INCH_WORDS, metric="mm", step=Fraction(1, 16), fractions=True),
    _named("ft", "length", "foot", "ft|ft|pie|pies", _FOOT_WORDS, metric="m", step=Fraction(1, 2)),
    _sign("mm", "length", "millimeter", "mm", "mm,millimeter,millimeters,milimetro,milimetros"),
    _sign("cm", "length", "centimeter", "cm", "cm,centimeter,centimeters,centimetro,centimetros", step=Fraction(1, 10)),
    _sign("m", "length", "meter", "m", "m,meter,meters,metro,metros", step=Fraction(1, 100)),
    _named(
        "in2",
        "area",
        "inch ** 2",
        "sq in|sq in|pulg²|pulg²",
        "in2,sqin,sq inches,square inches,square inch,inches2,pulg2,pulgadas cuadradas,pulgada cuadrada",
        metric="cm2",
    ),
    _named(
        "ft2",
        "area",
        "foot ** 2",
        "sq ft|sq ft|pies²|pies²",
        "ft2,sqft,sq feet,square feet,square foot,pies2,pie2,pies cuadrados,pie cuadrado",
        metric="m2",
    ),
    _sign("cm2", "area", "centimeter ** 2", "cm²", "cm2,cm²,sq cm", step=Fraction(1, 10)),
    _sign("m2", "area", "meter ** 2", "m²", "m2,m²,sq m", step=Fraction(1, 10)),
    _named(
        "square", "area", "foot ** 2", "square|squares|cuadro|cuadros", "sq,escuadra,escuadras", metric="m2", scale=100
    ),
    _sign(
        "degF",
        "temperature",
        "degF",
        "°F",
        "°f,f,deg f,degf,degrees f,fahrenheit,grados f,grados fahrenheit",
        metric="degC",
        lowest=Fraction("-459.67"),
    ),
    _sign(
        "degC",
        "temperature",
        "degC",
        "°C",
        "°c,c,deg c,degc,degrees c,celsius,centigrade,grados c,grados celsius",
        lowest=Fraction("-273.15"),
    ),
    _sign("s", "time", "second", "s", "s,sec,secs,second,seconds,seg,segs,segundo,segundos"),
    _sign("min", "time", "minute", "min", "min,mins,minute,minutes,minuto,minutos", step=Fraction(1, 2)),
    _sign("h", "time", "hour", "h", "h,hr,hrs,hour,hours,hora,horas", step=Fraction(1, 2)),
    _named("day", "time", "day", "day|days|día|días", "d,dia,dias"),
    _named("week", "time", "day", "week|weeks|semana|semanas", scale=7),
    _named("month", "months", "", "month|months|mes|meses", "mo"),
    _named("year", "years", "", "year|years|año|años", "yr,yrs,ano,anos"),
    _sign("lbf", "force", "force_pound", "lbf", "lbf,lb,lbs,pounds,pound,libras,libra,libras fuerza", metric="N"),
    _sign("N", "force", "newton", "N", "n,newton,newtons"),
    _sign("lb", "mass", "pound", "lb", "lb,lbs,pound,pounds,libra,libras", metric="kg"),
    _sign("oz", "mass", "ounce", "oz", "oz,ounce,ounces,onza,onzas", metric="g", step=Fraction(1, 2)),
    _sign(
        "kg", "mass", "kilogram", "kg", "kg,kilo,kilos,kilogram,kilograms,kilogramo,kilogramos", step=Fraction(1, 10)
    ),
    _sign("g", "mass", "gram", "g", "g,gr,gram,grams,gramo,gramos"),
    _sign("psi", "pressure", "psi", "psi", "psi", metric="kPa"),
    _sign("psf", "pressure", "force_pound / foot ** 2", "psf", "psf", metric="kPa"),
    _sign("kPa", "pressure", "kilopascal", "kPa", "kpa", step=Fraction(1, 10)),
    _sign("mph", "speed", "mile / hour", "mph", "mph,mi/h,miles per hour,millas por hora,millas/h", metric="km/h"),
    _sign("km/h", "speed", "kilometer / hour", "km/h", "km/h,kmh,kph,km por hora"),
    _named(
        "quart", "volume", "quart", "quart|quarts|cuarto de galón|cuartos de galón", "qt,qts,cuarto,cuartos", metric="L"
    ),
    _named("gallon", "volume", "gallon", "gallon|gallons|galón|galones", "gal,gals,galon", metric="L"),
    _sign("L", "volume", "liter", "L", "l,lt,liter,liters,litro,litros", step=Fraction(1, 10)),
    _named(
        "quart/h",
        "volume a time",
        "quart / hour",
        "quart an hour|quarts an hour|cuarto de galón por hora|cuartos de galón por hora",
        "qt/h,quart/h,quarts/h,quarts per hour,quart per hour,cuartos/h,cuartos por hora",
        metric="L/h",
    ),
    _sign("L/h", "volume a time", "liter / hour", "L/h", "l/h,liters per hour,litros por hora", step=Fraction(1, 10)),
    _sign("percent", "share", "percent", "%", "%,percent,pct,por ciento,porciento", highest=Fraction(100)),
    _sign("ppm", "parts", "", "ppm", "ppm", step=Fraction(1, 1000)),
    _sign("mg/m3", "mass in air", "milligram / meter ** 3", "mg/m³", "mg/m3,mg/m³", step=Fraction(1, 100)),
    _sign("ug/m3", "mass in air", "microgram / meter ** 3", "µg/m³", "ug/m3,µg/m3,μg/m3,µg/m³"),
    _sign("pitch", "slope", "", "", "pitch,rise,de pendiente", step=Fraction(1, 2), fractions=True),
    _sign("slope_percent", "slope", "", "%", "%,percent,por ciento"),
    _sign("degree", "slope", "", "°", "°,deg,degree,degrees,grado,grados", step=Fraction(1, 10)),
    _sign("one_in", "one in", "", "", ""),
    _sign("one_to", "one to", "", "", ""),
    _sign("count", "count", "", "", ""),
    _named("times", "times", "", "times|times|veces|veces", "x,vez,time"),
    _named("tile", "tile", "", "tile|tiles|teja|tejas"),
    _named("pad", "pad", "", "pad|pads|porción|porciones", "porcion"),
    _named("course", "course", "", "course|courses|hilada|hiladas"),
    _named("layer", "layer", "", "layer|layers|capa|capas"),
    _named("nail", "nail", "", "nail|nails|clavo|clavos"),
    _named("person", "person", "", "person|people|persona|personas"),
    _named("kit", "kit", "", "kit|kits|kit|kits"),
    _named("cylinder", "cylinder", "", "cylinder|cylinders|cilindro|cilindros"),
    _named("turn", "turn", "turn", "turn|turns|vuelta|vueltas", step=Fraction(1, 4), fractions=True),
    _named(
        "tile/square",
        "tiles a square",
        "",
        "tile a square|tiles a square|teja por cuadro|tejas por cuadro",
        "tiles per square,tiles,tejas,tile,teja",
    ),
)

UNITS: dict[str, Unit] = {unit.key: unit for unit in _UNITS}
"""Every unit a rule book may use, by its key."""
