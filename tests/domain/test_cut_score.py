"""A cut score is the judges' mean, with the standard error of that mean."""

from fractions import Fraction

import pytest
from scipy import stats

from training.domain.cut_score import cut_score
from training.domain.errors import BadInput

F = Fraction
RATINGS = [
    [F(9, 10), F(7, 10), F(6, 10), F(8, 10)],
    [F(8, 10), F(6, 10), F(5, 10), F(9, 10)],
    [F(1), F(8, 10), F(6, 10), F(9, 10)],
]


def test_the_cut_is_the_mean_of_what_the_judges_ratings_add_up_to() -> None:
    found = cut_score(RATINGS)
    assert found.by_judge == (F(3), F(28, 10), F(33, 10))
    assert found.score == F(91, 30)
    assert found.pass_right == 4
    assert found.by_question == (F(9, 10), F(7, 10), F(17, 30), F(26, 30))


def test_the_error_is_the_standard_error_of_the_mean() -> None:
    found = cut_score(RATINGS)
    assert found.error == pytest.approx(stats.sem([3.0, 2.8, 3.3]))
    low, high = found.between(2)
    assert (high - low) == pytest.approx(4 * found.error)


def test_judges_who_agree_leave_no_error() -> None:
    found = cut_score([RATINGS[0], RATINGS[0]])
    assert (found.score, found.error, found.pass_right) == (F(3), 0.0, 3)


@pytest.mark.parametrize(
    ("ratings", "key"),
    [
        (RATINGS[:1], "cut_score.few_judges"), ([], "cut_score.few_judges"), ([[], []], "cut_score.rate_all"),
        ([RATINGS[0], RATINGS[1][:3]], "cut_score.rate_all"),
        ([RATINGS[0], [F(3, 2), *RATINGS[1][1:]]], "cut_score.rating"),
        ([RATINGS[0], [F(-1, 2), *RATINGS[1][1:]]], "cut_score.rating"),
    ],
)  # fmt: skip
def test_ratings_that_make_no_cut_are_refused(ratings: list[list[Fraction]], key: str) -> None:
    with pytest.raises(BadInput) as refusal:
        cut_score(ratings)
    assert refusal.value.message.key == key
