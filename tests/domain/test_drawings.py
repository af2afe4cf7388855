"""Marks and drawings: the shape alone tells the state, the words are all there, nothing escapes into the page."""

import re
from xml.etree import ElementTree

import pytest

from training.drawings import courses, marks, series, svg
from training.drawings.courses import Course
from training.drawings.series import Limit

ALL = [*marks.STATES, "yes", "no", "trainee"]
SVG = "{http://www.w3.org/2000/svg}"


def parse(drawing: str) -> ElementTree.Element:
    """The drawing as a browser reads it inline; fails when it is not well formed."""
    return ElementTree.fromstring(drawing.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1))


def shapes(drawing: str) -> str:
    """The drawing without any class, so that colour cannot tell anything."""
    return re.sub(r' class="[^"]*"', "", drawing)


def path(*states: str) -> list[Course]:
    return [Course(f"step {number}", state, f"word {state}") for number, state in enumerate(states)]


def tops(drawing: str) -> list[float]:
    return [float(y) for y in re.findall(r'class="tile [^"]*" d="M-?[\d.]+ ([\d.]+)', drawing)]


# --- marks --------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ALL)
def test_a_mark_is_well_formed_and_has_no_inline_style(state: str) -> None:
    drawing = marks.mark(state)
    parse(drawing)
    assert "style=" not in drawing


def test_no_two_states_share_a_shape() -> None:
    # WCAG 2.2, 1.4.1 Use of Color: colour must not be the only way to tell.
    drawn = {state: shapes(marks.mark(state)) for state in ALL}
    assert len(set(drawn.values())) == len(ALL)


def test_a_mark_beside_its_word_is_silent_and_a_mark_alone_speaks() -> None:
    assert 'aria-hidden="true"' in marks.mark("lapsed")
    spoken = parse(marks.mark("lapsed", label="lapsed"))
    assert (spoken.get("role"), spoken.get("aria-label")) == ("img", "lapsed")
    assert spoken.findtext(f"{SVG}title") == "lapsed"


def test_an_unknown_state_never_draws_as_something_held() -> None:
    assert marks.mark("nonsense") == marks.mark("not_started")
    assert courses.course_of({"title": "Quiz", "state": "nonsense"}).state == "not_started"


# --- the slope ----------------------------------------------------------------------------------


def test_courses_are_laid_from_the_eave_up() -> None:
    eave_only = tops(courses.slope(path("qualified", "not_started", "not_started")))
    second_only = tops(courses.slope(path("not_started", "qualified", "not_started")))
    assert min(eave_only) > max(second_only)


def test_an_upper_course_laps_over_the_one_below() -> None:
    # common practice, no source: the tile above always covers the head of the tile below.
    lower, upper = courses.COURSE, 0.0
    assert upper + courses.COURSE + courses.LAP > lower
    drawing = courses.slope(path("qualified", "qualified"))
    assert tops(drawing)[0] > tops(drawing)[-1], "the lower course is drawn first, so the upper one lies on it"


def test_joints_of_one_course_fall_on_tiles_of_the_next() -> None:
    # common practice, no source: broken bond.
    even = {x + width for x, width in courses._places(0)} - {courses.SPAN}
    odd = {x + width for x, width in courses._places(1)} - {courses.SPAN}
    assert not even & odd


@pytest.mark.parametrize("row_number", [0, 1])
def test_every_course_is_as_long_as_the_eave(row_number: int) -> None:
    assert sum(width for _x, width in courses._places(row_number)) == courses.SPAN


@pytest.mark.parametrize(("share", "laid"), [(0.0, 1), (0.34, 1), (0.67, 2), (1.0, 2)])
def test_a_course_under_way_is_neither_bare_nor_whole(share: float, laid: int) -> None:
    assert len(tops(courses.slope([Course("Reading", "under_way", share=share)]))) == laid


def test_each_state_draws_a_course_of_its_own() -> None:
    drawn = {shapes(courses.slope(path(state), label="same")) for state in marks.STATES}
    assert len(drawn) == len(marks.STATES)


def test_the_ridge_is_capped_only_by_a_decision_that_holds() -> None:
    def caps(state: str) -> int:
        with_ridge = courses.slope(path("not_started"), ridge=Course("Decision", state), label="x")
        return with_ridge.count("tile tile-") + with_ridge.count("tile-set")

    assert caps("qualified") == caps("renewal_open") == courses.CAPS
    assert caps("not_started") == caps("withdrawn") == caps("lapsed") == caps("suspended") == 0


def test_the_picture_says_every_step_and_its_state() -> None:
    drawing = parse(courses.slope(path("qualified", "lapsed"), ridge=Course("Decision", "lapsed", "lapsed")))
    assert drawing.get("aria-label") == "step 0: word qualified. step 1: word lapsed. Decision: lapsed"


def test_everything_drawn_lies_inside_the_picture() -> None:
    drawing = parse(courses.slope(path("qualified", "under_way", "not_started"), ridge=Course("Decision", "qualified")))
    _, _, width, height = (float(part) for part in (drawing.get("viewBox") or "").split())
    shift = float(re.findall(r"translate\(([\d.]+)", drawing[1].get("transform") or "")[0])
    deepest = height - courses.EDGE
    assert shift - deepest * courses.SLANT >= 0
    assert shift - courses.COURSE * courses.SLANT + courses.SPAN + 4 <= width


def test_a_title_cannot_break_out_of_the_drawing() -> None:
    evil = '"><script>alert(1)</script>'
    drawing = courses.slope([Course(evil, "qualified", evil)])
    assert "<script" not in drawing
    assert parse(drawing).get("aria-label") == f"{evil}: {evil}"


def test_steps_come_as_mappings_or_as_objects() -> None:
    class Step:
        title, state, share = "Quiz", "under_way", 0.25

    assert courses.course_of(Step()) == courses.course_of({"title": "Quiz", "state": "under_way", "share": 0.25})


@pytest.mark.parametrize(("given", "kept"), [(-1, 0.0), (0.5, 0.5), (7, 1.0)])
def test_a_share_stays_between_none_and_all(given: float, kept: float) -> None:
    assert courses.course_of({"title": "x", "state": "under_way", "share": given}).share == kept


def test_the_row_says_all_steps_and_draws_one_mark_for_each() -> None:
    drawing = parse(courses.row(path("qualified", "suspended", "not_started")))
    assert drawing.get("aria-label") == "step 0: word qualified, step 1: word suspended, step 2: word not_started"
    assert len(drawing.findall(f"{SVG}g")) == 3


def test_an_empty_path_still_draws() -> None:
    parse(courses.row([], label="nothing"))
    parse(courses.slope([], label="nothing"))
    parse(courses.bare())


# --- measured values ----------------------------------------------------------------------------


def test_values_on_the_limit_are_right() -> None:
    limit = Limit(3, 4)
    assert [limit.holds(value) for value in (2.99, 3, 4, 4.01)] == [False, True, True, False]


def test_an_open_end_lets_everything_through() -> None:
    assert Limit(low=3).holds(1e9)
    assert Limit(high=3).holds(-1e9)
    assert Limit().holds(0)


def test_right_values_are_dots_and_wrong_ones_crosses() -> None:
    drawing = series.strip([2.9, 3, 3.1], Limit(low=3), label="three values")
    assert drawing.count('class="point"') == 2
    assert drawing.count('class="point-out"') == 1


def test_equal_values_stand_on_top_of_each_other() -> None:
    drawing = series.strip([3, 3, 3], Limit(low=2), label="same")
    heights = {float(y) for y in re.findall(r'class="point" cx="[\d.]+" cy="([\d.]+)"', drawing)}
    assert len(heights) == 3


@pytest.mark.parametrize("values", [[], [5.0], [0.0, 0.0], [-40.0, 120.0]])
def test_any_values_fit_on_the_line(values: list[float]) -> None:
    scale = series.scale_for(values, Limit(3, 4))
    places = [scale.at(value) for value in [*values, 3, 4]]
    assert all(series.LEFT <= place <= series.WIDTH - series.RIGHT for place in places)
    parse(series.strip(values, Limit(3, 4), label="values"))


def test_a_single_value_without_limits_gets_a_line_with_a_width() -> None:
    scale = series.scale_for([5], Limit())
    assert scale.start < 5 < scale.end


def test_the_limit_is_written_with_its_unit() -> None:
    assert ">3 in</text>" in series.strip([3], Limit(low=3), label="x", low="3 in")


# --- writing ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("value", "shown"), [(3.0, "3"), (2.5, "2.5"), (1 / 3, "0.33"), (-4.0, "-4"), (100.0, "100")])
def test_coordinates_are_short(value: float, shown: str) -> None:
    assert svg.number(value) == shown


def test_attributes_and_text_are_escaped() -> None:
    assert svg.tag("path", class_='a"b') == '<path class="a&quot;b"/>'
    assert svg.text("<b>", x=1.0) == '<text x="1">&lt;b&gt;</text>'
