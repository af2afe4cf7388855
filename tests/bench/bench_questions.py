"""How many questions and papers a second one processor makes: `python -m tests.bench.bench_questions`.

Aims: a paper of twenty questions drawn and rendered to text in under 5 ms; 1,000 papers in under 5 s.
"""

import sys
import time
from collections.abc import Callable

from training.content import demo_rule_book, starter_qualification
from training.domain.lint import lint
from training.domain.odds import outlook
from training.domain.papers import Blueprint, draw
from training.domain.patterns import PATTERNS
from training.domain.qualification import Qualification, StepKind
from training.domain.questions import patterns_for, question
from training.domain.rules import RuleBook
from training.domain.text import LANGUAGES
from training.drawings.figures import figure

PAPERS = 1000
SEEDS = 40


def timed(work: Callable[[], int]) -> tuple[int, float, float]:
    """How many things, in how many seconds of the clock and of the processor."""
    clock, processor = time.perf_counter(), time.process_time()
    made = work()
    return made, time.perf_counter() - clock, time.process_time() - processor


def report(name: str, work: Callable[[], int]) -> None:
    made, clock, processor = timed(work)
    each = 1000 * processor / made
    sys.stdout.write(
        f"{name:44} {made:7} in {clock:6.2f} s (processor {processor:6.2f} s), "
        f"{made / processor:8.0f} a second, {each:.3f} ms each\n"
    )


def make_all(book: RuleBook, pattern: str) -> int:
    rules = [rule for rule in book.rules if pattern in patterns_for(rule, book)]
    for rule in rules:
        for seed in range(SEEDS):
            question(rule, pattern, f"bench-{seed}", book)
    return len(rules) * SEEDS


def draw_papers(blueprint: Blueprint, book: RuleBook, papers: int) -> int:
    for paper in range(papers):
        draw(blueprint, book, f"bench-{paper}")
    return papers


def render_papers(blueprint: Blueprint, book: RuleBook, papers: int) -> int:
    for paper in range(papers):
        for made in draw(blueprint, book, f"render-{paper}").questions(book):
            for language in LANGUAGES:
                made.public(language)
    return papers


def retake_papers(blueprint: Blueprint, book: RuleBook, papers: int) -> int:
    for paper in range(papers):
        first = draw(blueprint, book, f"try-{paper}")
        draw(blueprint, book, f"again-{paper}", first.items)
    return 2 * papers


def draw_figures(book: RuleBook) -> int:
    figures = [
        option.figure
        for rule in book.rules
        if "pick-drawing" in patterns_for(rule, book)
        for option in question(rule, "pick-drawing", "bench", book).options
        if option.figure is not None
    ]
    for _ in range(20):
        for asked in figures:
            figure(asked, "es")
    return 20 * len(figures)


def main() -> None:
    book = RuleBook.parse(demo_rule_book())
    step = Qualification.parse(starter_qualification()).first_of(StepKind.QUIZ)
    assert step is not None
    blueprint = Blueprint.parse(step.blueprint)
    draw_papers(blueprint, book, 20)
    for pattern in PATTERNS:
        report(f"questions {pattern}", lambda pattern=pattern: make_all(book, pattern))  # type: ignore[misc]
    report("papers drawn", lambda: draw_papers(blueprint, book, PAPERS))
    report("papers drawn and rendered in both languages", lambda: render_papers(blueprint, book, PAPERS))
    report("papers drawn with a second try after each", lambda: retake_papers(blueprint, book, PAPERS // 5))
    report("drawings", lambda: draw_figures(book))
    report("findings' seeds of the linter", lambda: len(lint(book, ["1", "2"])) and 2)
    report("outlooks of a blueprint", lambda: len([outlook(blueprint, book)]))


if __name__ == "__main__":
    main()
