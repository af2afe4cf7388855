"""Chances of a quiz against published or hand-worked numbers, and against scipy as an independent reference."""

from fractions import Fraction
from itertools import combinations, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tests.domain.trade_book import BLUEPRINT, trade_book
from training.content import demo_rule_book, starter_qualification
from training.domain import odds
from training.domain.answers import OrderPolicy, is_right
from training.domain.errors import Refused
from training.domain.papers import Blueprint, draw
from training.domain.qualification import Qualification, StepKind
from training.domain.questions import Question, patterns_for, question
from training.domain.rules import RuleBook

BOOK = RuleBook.parse(trade_book())
F = Fraction
SHARES = st.lists(st.fractions(0, 1, max_denominator=12), max_size=12)


def same(shares: list[Fraction]) -> list[float]:
    return [float(count) for count in odds.right_counts(shares)]


# --- hand-worked ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("questions", "options", "chances"),
    [  # Elementary binomial tails, cuts of 70, 80 and 90 %.
        (10, 2, (0.171875, 0.054688, 0.010742)),
        (10, 3, (0.019662, 0.003404, 0.000356)),
        (10, 4, (0.003506, 0.000416, 0.0000296)),
        (20, 3, (0.000879, 2.508e-5, 2.30e-7)),
        (15, 3, (0.001807, 0.000285, 2.16e-6)),
    ],
)
def test_blind_guessing_with_equal_options(questions: int, options: int, chances: tuple[float, ...]) -> None:
    for cut, chance in zip((F(7, 10), F(8, 10), F(9, 10)), chances, strict=True):
        needed = -int(-cut * questions // 1)
        found = odds.chance_to_pass([F(1, options)] * questions, needed)
        assert float(found) == pytest.approx(chance, rel=2e-3)


def test_questions_with_two_three_and_four_options_one_each() -> None:
    assert odds.right_counts([F(1, 2), F(1, 3), F(1, 4)]) == [F(1, 4), F(11, 24), F(1, 4), F(1, 24)]


def test_twenty_questions_of_mixed_options_exactly() -> None:
    shares = [F(1, 4)] * 10 + [F(1, 3)] * 6 + [F(1, 2)] * 4
    assert odds.chance_to_pass(shares, 16) == F(16139, 1358954496)


def test_partial_knowledge_is_the_real_risk() -> None:
    knows_14 = [F(1)] * 14 + [F(1, 3)] * 6
    assert float(odds.chance_to_pass(knows_14, 16)) == pytest.approx(0.6488, abs=5e-5)
    share = Blueprint(20, 16, {"all": 20}, all_critical=False)
    once = odds.chance_with_share(F(7, 10), share)
    assert float(once) == pytest.approx(0.2375, abs=5e-5)
    assert float(odds.in_tries(once, 3)) == pytest.approx(0.5567, abs=5e-5)


@pytest.mark.parametrize(("right", "error"), [(14, 2.1026), (16, 1.8353), (18, 1.3765)])
def test_the_conditional_error_of_twenty_questions(right: int, error: float) -> None:
    # Lord 1955, Educational and Psychological Measurement 15:325.
    assert odds.conditional_error(right, 20) == pytest.approx(error, abs=5e-5)


@pytest.mark.parametrize(("right", "chance"), [(16, 0.4140), (18, 0.8213), (20, 0.9908)])
def test_what_a_result_says_about_a_true_share_of_eighty_percent(right: int, chance: float) -> None:
    assert float(odds.chance_of_share(F(4, 5), right, 20)) == pytest.approx(chance, abs=5e-5)


def test_two_papers_of_twenty_from_sixty() -> None:
    assert float(odds.expected_shared(60, 20, 20)) == pytest.approx(6.67, abs=5e-3)
    assert float(sum(odds.shared_questions(60, 20, 20)[10:])) == pytest.approx(0.051, abs=5e-4)


@pytest.mark.parametrize(("sound", "bound"), [(5, 0.45), (10, 0.26), (20, 0.139), (29, 0.098), (59, 0.0495)])
def test_no_bad_tile_among_so_many_lifted(sound: int, bound: float) -> None:
    assert odds.most_bad(sound) == pytest.approx(bound, abs=0.005)


# --- scipy ---------------------------------------------------------------------------------------------------------


@given(SHARES)
def test_right_counts_are_those_of_scipy(shares: list[Fraction]) -> None:
    if not shares:
        assert odds.right_counts([]) == [1]
        return
    reference = stats.poisson_binom.pmf(range(len(shares) + 1), [float(share) for share in shares])
    assert same(shares) == pytest.approx(list(reference), abs=1e-9)


@given(SHARES)
def test_right_counts_add_up_to_one(shares: list[Fraction]) -> None:
    assert sum(odds.right_counts(shares)) == 1


@given(st.integers(0, 30), st.integers(0, 30), st.fractions(0, 1, max_denominator=20))
def test_the_chance_of_a_share_is_the_tail_of_scipys_beta(right: int, wrong: int, share: Fraction) -> None:
    reference = stats.beta.sf(float(share), right + 1, wrong + 1)
    assert float(odds.chance_of_share(share, right, right + wrong)) == pytest.approx(reference, abs=1e-9)


@given(st.integers(1, 60), st.data())
def test_shared_questions_are_scipys_hypergeometric(pool: int, data: st.DataObject) -> None:
    first, second = data.draw(st.integers(0, pool)), data.draw(st.integers(0, pool))
    found = [float(chance) for chance in odds.shared_questions(pool, first, second)]
    reference = stats.hypergeom(pool, first, second).pmf(range(len(found)))
    assert found == pytest.approx(list(reference), abs=1e-9)
    assert sum(n * chance for n, chance in enumerate(odds.shared_questions(pool, first, second))) == (
        odds.expected_shared(pool, first, second)
    )


@pytest.mark.parametrize("sound", [1, 5, 20, 59])
def test_the_bound_for_no_bad_one_is_the_exact_binomial_interval(sound: int) -> None:
    # Clopper & Pearson 1934, Biometrika 26:404, one-sided at 95 %.
    interval = stats.binomtest(0, sound, alternative="less").proportion_ci(0.95, method="exact")
    assert odds.most_bad(sound) == pytest.approx(interval.high)


# --- questions and blueprints --------------------------------------------------------------------------------------


def every_kind() -> list[Question]:
    return [question(rule, pattern, "1", BOOK) for rule in BOOK.rules for pattern in patterns_for(rule, BOOK)]


def test_the_guess_at_one_question_is_the_share_of_answers_that_are_right() -> None:
    for made in every_kind():
        letters = [option.letter for option in made.options]
        if made.answer == "one":
            answers = letters
        elif made.answer == "many":
            answers = [",".join(some) for n in range(1, len(letters)) for some in combinations(letters, n)]
        elif made.answer == "order":
            answers = [",".join(order) for order in permutations(letters)]
        else:
            assert odds.guess_share(made) == 0
            continue
        assert odds.guess_share(made) == F(sum(is_right(made, answer) for answer in answers), len(answers))


def test_a_lenient_order_is_guessed_more_often() -> None:
    made = question(BOOK.rule("kit-order"), "put-in-order", "1")
    assert odds.guess_share(made) == F(1, 24)
    # Three of four in a row: abcd, and d before or a after the rest: bcda, dabc.
    assert odds.guess_share(made, OrderPolicy(F(3, 4))) == F(3, 24)


def test_critical_questions_make_guessing_harder() -> None:
    untyped = {**BLUEPRINT, "kinds": {"type-value": 0, "compute": 0}}
    free, strict = Blueprint.parse({**untyped, "all_critical": False}), Blueprint.parse(untyped)
    questions = draw(strict, BOOK, "s").questions(BOOK)
    assert 0 < odds.chance_by_guessing(questions, strict) < odds.chance_by_guessing(questions, free)


def test_critical_questions_by_hand() -> None:
    # Two critical and one other, cut 2: both critical right, the other any.
    assert odds.chance_to_pass([F(1, 2), F(1, 2), F(1, 3)], 2, [True, True, False]) == F(1, 4)
    # Cut 3: all three.
    assert odds.chance_to_pass([F(1, 2), F(1, 2), F(1, 3)], 3, [True, True, False]) == F(1, 12)


def test_the_outlook_of_the_shipped_quiz() -> None:
    step = Qualification.parse(starter_qualification()).first_of(StepKind.QUIZ)
    assert step is not None
    found = odds.outlook(Blueprint.parse(step.blueprint), RuleBook.parse(demo_rule_book()))
    assert 0 <= found.guessing.least <= found.guessing.mean <= found.guessing.most < F(1, 10**6)
    chances = list(found.by_share.values())
    assert chances == sorted(chances)
    assert all(once < all_tries for once, all_tries in chances)
    assert found.cut_error == pytest.approx(1.8353, abs=5e-5)
    assert all(pool.papers >= 3 for pool in found.pools)
    assert float(found.shared) == pytest.approx(sum(pool.wanted**2 / pool.rules for pool in found.pools))


def test_an_outlook_of_what_cannot_be_filled_is_refused() -> None:
    with pytest.raises(Refused):
        odds.outlook(Blueprint(20, 16, {"slope": 20}), BOOK)
