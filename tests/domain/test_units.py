"""Units: factors against NIST SP 811, slopes against geometry, and reading back whatever is shown."""

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.domain.errors import BadInput
from training.domain.text import LANGUAGES
from training.domain.unit_table import UNITS
from training.domain.units import Measure, measure, parse_measure, show, stored_number


@pytest.mark.parametrize(
    ("number", "unit", "expected", "other"),
    [
        # NIST SP 811 (2008), Appendix B.8 and B.9: exact factors.
        ("1", "in", "25.4", "mm"),
        ("1", "ft", "0.3048", "m"),
        ("1", "ft2", "0.09290304", "m2"),
        ("1", "in2", "6.4516", "cm2"),
        ("1", "lb", "0.45359237", "kg"),
        ("1", "oz", "28.349523125", "g"),
        ("1", "mph", "1.609344", "km/h"),
        # 100 square feet, from the same factor; trade usage of "square".
        ("1", "square", "9.290304", "m2"),
        ("1", "ft", "12", "in"),
        ("1", "h", "60", "min"),
        ("2", "week", "14", "day"),
        # 29 CFR 1910.1000 Table Z-1 writes 0.2 mg/m3; 1 mg = 1000 ug (SI prefixes).
        ("0.2", "mg/m3", "200", "ug/m3"),
    ],
)
def test_a_unit_converts_by_its_published_factor(number: str, unit: str, expected: str, other: str) -> None:
    assert measure(number, unit).to(other).value == Fraction(expected)


def test_a_pound_force_is_exact() -> None:
    # NIST SP 811 B.8: 4.448 222 newton; exact product 0.45359237 x 9.80665.
    assert measure(1, "lbf").to("N").value == Fraction("4.4482216152605")


def test_uplift_of_35_pounds_is_155_69_newton() -> None:
    # Florida Building Code, TAS 106 cl. 3.2 (2020) for the 35 lbf; converted with the factor above.
    assert round(float(measure(35, "lbf").to("N").value), 2) == 155.69


@pytest.mark.parametrize(("psf", "pascal"), [(1, 47.88026)])
def test_pounds_a_square_foot_follow_nist(psf: int, pascal: float) -> None:
    assert float(measure(psf, "psf").to("kPa").value) * 1000 == pytest.approx(pascal, abs=5e-6)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    # NIST SP 811 B.8: t/C = (t/F - 32) / 1.8; -40 is the same in both.
    [("32", "0"), ("212", "100"), ("-40", "-40"), ("70", "190/9"), ("50", "10"), ("95", "35")],
)
def test_degrees_convert_with_their_offset(fahrenheit: str, celsius: str) -> None:
    assert measure(fahrenheit, "degF").to("degC").value == Fraction(celsius)
    assert measure(fahrenheit, "degF") == Measure(Fraction(celsius), "degC")


@pytest.mark.parametrize(
    ("rise", "degrees", "percent"),
    # Geometry: atan(rise / 12) and rise / 12; computed independently, to two decimals.
    [
        ("2", 9.46, 16.67), ("2.5", 11.77, 20.83), ("3", 14.04, 25.00), ("4", 18.43, 33.33), ("5", 22.62, 41.67),
        ("6", 26.57, 50.00), ("7", 30.26, 58.33), ("8", 33.69, 66.67), ("9", 36.87, 75.00), ("10", 39.81, 83.33),
        ("11", 42.51, 91.67), ("12", 45.00, 100.00),
    ],
)  # fmt: skip
def test_a_slope_has_its_degrees_and_percent(rise: str, degrees: float, percent: float) -> None:
    slope = measure(rise, "pitch")
    assert round(float(slope.to("degree").value), 2) == degrees
    assert round(float(slope.to("slope_percent").value), 2) == percent


@pytest.mark.parametrize(
    ("typed", "unit", "language", "value", "read_as"),
    [
        ('1 1/2"', "in", "en", "3/2", "in"), ("1-1/2 in", "in", "en", "3/2", "in"), ("1½", "in", "en", "3/2", "in"),
        ("1½″", "in", "es", "3/2", "in"),
        ("1 1/2 pulgadas", "in", "es", "3/2", "in"), ("1.5 in.", "in", "en", "3/2", "in"),
        ("1 and 1/2 in", "in", "en", "3/2", "in"),
        ("7 y 1/2 pulg", "in", "es", "15/2", "in"), ("3/4", "in", "en", "3/4", "in"),
        ("38 mm", "in", "en", "38", "mm"), ("3,8 cm", "in", "es", "3.8", "cm"), ("3.8cm", "in", "en", "3.8", "cm"),
        ("6:12", "pitch", "en", "6", "pitch"),
        ("6 en 12", "pitch", "es", "6", "pitch"), ("6/12", "pitch", "en", "6", "pitch"),
        ("6 in 12", "pitch", "en", "6", "pitch"),
        ("6 1/2 : 12", "pitch", "en", "13/2", "pitch"), ("6", "pitch", "en", "6", "pitch"),
        ("50 %", "pitch", "en", "50", "slope_percent"), ("26.57°", "pitch", "en", "26.57", "degree"),
        ("70F", "degF", "en", "70", "degF"),
        ("21 °C", "degF", "en", "21", "degC"), ("70 grados F", "degF", "es", "70", "degF"),
        ("70º F", "degF", "es", "70", "degF"),
        ("-4", "degF", "en", "-4", "degF"), ("−4 °C", "degF", "en", "-4", "degC"),
        ("5' 6\"", "in", "en", "66", "in"),
        ("5 ft 6 1/2 in", "in", "en", "133/2", "in"), ("1 h 30 min", "min", "es", "90", "min"),
        ("90 s", "min", "en", "90", "s"),
        ("5,000 lbf", "lbf", "en", "5000", "lbf"), ("5,000 lb", "lbf", "es", "5000", "lbf"),
        (".5 in", "in", "en", "1/2", "in"),
        ("12 sq in", "in2", "en", "12", "in2"), ("12 in²", "in2", "en", "12", "in2"),
        ("1/2 vuelta", "turn", "es", "1/2", "turn"),
        ("3 tejas", "tile", "es", "3", "tile"), ("1 in 10", "one_in", "en", "10", "one_in"),
        ("1 de cada 10", "one_in", "es", "10", "one_in"),
        ("1:4", "one_to", "en", "4", "one_to"), ("２ in", "in", "en", "2", "in"),
    ],
)  # fmt: skip
def test_what_a_roofer_types_is_read(typed: str, unit: str, language: str, value: str, read_as: str) -> None:
    found = parse_measure(typed, unit, language)
    assert (found.value, found.unit) == (Fraction(value), read_as)


@pytest.mark.parametrize(
    ("typed", "unit", "language", "key"),
    [
        ("", "in", "en", "units.not_a_number"), ("banana", "in", "en", "units.not_a_number"),
        ("1/0 in", "in", "en", "units.not_a_number"), ("1" * 50, "in", "en", "units.not_a_number"),
        ("three inches", "in", "en", "units.not_a_number"), ("4 furlongs", "in", "en", "units.unknown_unit"),
        ("70 kg", "in", "en", "units.wrong_kind"), ("70 °F", "in", "en", "units.wrong_kind"),
        ("-1 in", "in", "en", "units.impossible"), ("-500 C", "degF", "en", "units.impossible"),
        ("120 %", "percent", "en", "units.impossible"), ("6:10", "pitch", "en", "units.slope_in_12"),
        ("3,125 pulg", "in", "es", "units.unclear_comma"), ("6 in 5 ft", "in", "en", "units.not_a_number"),
        ("1e9", "in", "en", "units.unknown_unit"), ("nan", "in", "en", "units.not_a_number"),
    ],
)  # fmt: skip
def test_nonsense_is_refused_with_an_example(typed: str, unit: str, language: str, key: str) -> None:
    with pytest.raises(BadInput) as refusal:
        parse_measure(typed, unit, language)
    assert refusal.value.message.key == key
    assert isinstance(refusal.value.message.values["example"], Measure)


@given(st.text(max_size=60), st.sampled_from(sorted(UNITS)), st.sampled_from(LANGUAGES))
def test_any_text_is_read_or_refused_and_never_fails_otherwise(typed: str, unit: str, language: str) -> None:
    with suppress(BadInput):
        assert parse_measure(typed, unit, language).kind == UNITS[unit].kind


_SHOWN_EXACTLY = {key: unit for key, unit in UNITS.items() if key != "slope_percent"}


@given(st.data(), st.sampled_from(sorted(_SHOWN_EXACTLY)), st.sampled_from(LANGUAGES))
def test_what_is_shown_reads_back_as_the_same_measure(data: st.DataObject, unit: str, language: str) -> None:
    about = UNITS[unit]
    parts = 16 if about.fractions else (1 if unit.startswith("one_") else 100)
    most = int((about.highest or 900) * parts)
    least = max(int(about.lowest) * parts, -99 * parts)
    value = Fraction(data.draw(st.integers(least, most)), parts)
    assert parse_measure(show(Measure(value, unit), language), unit, language) == Measure(value, unit)


@given(st.fractions(min_value=0, max_value=10000, max_denominator=64))
def test_converting_there_and_back_changes_nothing(value: Fraction) -> None:
    for unit, other in (("in", "mm"), ("degF", "degC"), ("lbf", "N"), ("mph", "km/h"), ("pitch", "slope_percent")):
        assert Measure(value, unit).to(other).to(unit).value == value


@pytest.mark.parametrize(
    ("number", "unit", "english", "spanish"),
    [
        ("3/2", "in", "1 1/2 in (38 mm)", "1 1/2 pulg (38 mm)"),
        ("70", "degF", "70 °F (21 °C)", "70 °F (21 °C)"),
        ("6", "pitch", "6:12", "6:12"),
        ("10", "in2", "10 sq in (64.5 cm²)", "10 pulg² (64.5 cm²)"),
        ("35", "lbf", "35 lbf (156 N)", "35 lbf (156 N)"),
        ("6", "ft", "6 ft (1.83 m)", "6 pies (1.83 m)"),
        ("1", "tile", "1 tile", "1 teja"),
        ("1/2", "turn", "1/2 turn", "1/2 vuelta"),
        ("10", "one_in", "1 in 10", "1 de cada 10"),
        ("0.02", "ppm", "0.02 ppm", "0.02 ppm"),
        ("5000", "lbf", "5,000 lbf (22,241 N)", "5,000 lbf (22,241 N)"),
    ],
)
def test_a_measure_is_shown_as_on_the_tape_with_metric_beside(
    number: str, unit: str, english: str, spanish: str
) -> None:
    shown = [show(measure(number, unit), language, metric=True).replace("\u00a0", " ") for language in LANGUAGES]
    assert shown == [english, spanish]


def test_inches_off_the_tape_are_shown_to_the_nearest_sixteenth() -> None:
    assert show(measure(38, "mm").to("in")).replace("\u00a0", " ") == "1 1/2 in"


def test_measures_compare_across_units() -> None:
    assert measure(1, "in") == measure("25.4", "mm")
    assert measure("3.8", "cm") < measure("1 1/2", "in")
    assert measure(1, "in") != measure(1, "degF")


@pytest.mark.parametrize("bad", ["", "1/0", "1 2", "abc", "1,5", "--1", "1e3", " 1"])
def test_a_stored_number_is_strict(bad: str) -> None:
    with pytest.raises(ValueError):
        stored_number(bad)


def test_a_stored_number_keeps_its_sign_over_the_whole() -> None:
    assert stored_number("-1 1/2") == Fraction(-3, 2)


def test_every_unit_is_named_in_every_language() -> None:
    for unit in UNITS.values():
        assert all((unit.one[language] == "") == (unit.one["en"] == "") for language in LANGUAGES)
