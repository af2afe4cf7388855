"""A cut score from judges: each says for every question how likely a worker who is just good enough gets it right.

Modified Angoff method: Angoff 1971, Scales, norms and equivalent scores, in Educational Measurement, 2nd edition, page
515; standard error of the judges' mean: Livingston & Zieky 1982, Passing Scores. Both from memory.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from training.domain.errors import BadInput

FEWEST_JUDGES = 2


@dataclass(frozen=True)
class CutScore:
    """by_judge: the number right that each judge's ratings add up to; by_question: mean rating of each question.

    score: mean of the judges. error: standard error of that mean, s / sqrt(judges), s with judges - 1.
    """

    by_judge: tuple[Fraction, ...]
    by_question: tuple[Fraction, ...]
    score: Fraction
    error: float

    @property
    def pass_right(self) -> int:
        """The fewest right answers that reach the score."""
        return math.ceil(self.score)

    def between(self, errors: int = 1) -> tuple[float, float]:
        """Cut scores so many standard errors below and above."""
        return float(self.score) - errors * self.error, float(self.score) + errors * self.error


def cut_score(ratings: Sequence[Sequence[Fraction]]) -> CutScore:
    """The cut from ratings[judge][question], each a chance from 0 to 1.

    Raises `BadInput` for one judge alone, judges who rated different numbers of questions, or a rating outside 0 to 1.
    """
    if len(ratings) < FEWEST_JUDGES:
        raise BadInput("cut_score.few_judges", least=FEWEST_JUDGES)
    questions = len(ratings[0])
    if not questions or any(len(row) != questions for row in ratings):
        raise BadInput("cut_score.rate_all", questions=max(len(row) for row in ratings))
    for judge, row in enumerate(ratings, 1):
        for number, rating in enumerate(row, 1):
            if not 0 <= rating <= 1:
                raise BadInput("cut_score.rating", judge=judge, question=number)
    by_judge = tuple(sum(row, Fraction(0)) for row in ratings)
    by_question = tuple(sum(column, Fraction(0)) / len(ratings) for column in zip(*ratings, strict=True))
    mean = sum(by_judge, Fraction(0)) / len(ratings)
    spread = sum(((each - mean) ** 2 for each in by_judge), Fraction(0)) / (len(ratings) - 1)
    return CutScore(by_judge, by_question, mean, math.sqrt(spread / len(ratings)))
