"""Every key that the core can say has a sentence, and the sentence gets the quantities it asks for."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest
from hypothesis import given, settings

from certificates.texts import TEXTS as CERTIFICATE_TEXTS
from tests.architecture.sources import ROOT, modules
from tests.domain.story import OFFICER, PERSON, QUALIFICATION
from tests.domain.test_standing_histories import days, histories
from training.domain.decision import Decider, allowed_decisions
from training.domain.standing import standing
from training.domain.tries import next_try
from training.texts import TEXTS, say

SENTENCES = {**TEXTS, **CERTIFICATE_TEXTS}
SPEAKERS = {"Message", "_reason", "Refused", "NotAllowed", "NotFound", "BadInput"}
BLANK = re.compile(r"%\((\w+)\)")


def _spoken() -> Iterator[tuple[str, str, set[str] | None]]:
    """Every place that names a key: the place, the key, and the quantities given (None: not plain to see)."""
    for name in modules("training", "certificates"):
        for node in ast.walk(ast.parse((ROOT / name).read_text())):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in SPEAKERS
                and node.args
            ):
                key = node.args[0]
                if isinstance(key, ast.Constant) and isinstance(key.value, str):
                    yield f"{name}:{node.lineno}", key.value, _given(node)


def _given(call: ast.Call) -> set[str] | None:
    """The names of the quantities in a call such as `Refused("quiz.wait", until=day)`."""
    names = [keyword.arg for keyword in call.keywords]
    if None in names:
        return None
    if call.func.id != "Message":  # type: ignore[attr-defined]  # only plain names come here
        return {name for name in names if name}
    if len(call.args) == 1:
        return set()
    values = call.args[1]
    plain = isinstance(values, ast.Dict) and all(isinstance(name, ast.Constant) for name in values.keys)
    return {name.value for name in values.keys} if plain else None  # type: ignore[attr-defined]


def test_every_key_has_a_sentence() -> None:
    spoken = list(_spoken())
    assert len(spoken) > 100
    assert [(place, key) for place, key, _ in spoken if key not in SENTENCES] == []


def test_every_sentence_gets_the_quantities_it_asks_for() -> None:
    lacking = [
        (place, key, wanted - given)
        for place, key, given in _spoken()
        if given is not None and key in SENTENCES and (wanted := set(BLANK.findall(str(SENTENCES[key])))) - given
    ]
    assert lacking == []


@settings(max_examples=60, deadline=None)
@given(histories, days)
def test_whatever_a_standing_says_can_be_said(history, on) -> None:
    found = standing(QUALIFICATION, history, on)
    options = allowed_decisions(QUALIFICATION, found, person=PERSON, decider=Decider(OFFICER))
    parts = (found, *found.steps, *found.scopes)
    messages = [reason.message for part in parts for reason in part.reasons]
    messages += [step.message for step in found.repair]
    messages += [option.why_not for option in options if option.why_not]
    tries = (next_try(QUALIFICATION, found, step.key).reason for step in found.steps)
    for message in (*messages, *(reason for reason in tries if reason)):
        sentence = say(message)
        assert "None" not in sentence and "datetime" not in sentence, message


@pytest.mark.parametrize("key", sorted(SENTENCES))
def test_a_sentence_is_short_enough_to_read_on_a_roof(key: str) -> None:
    for sentence in re.split(r"[.!?:]\s", str(SENTENCES[key])):
        assert len(sentence.split()) <= 18, sentence
