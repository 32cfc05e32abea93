"""What people say of a group is understood, and nothing of it is lost."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.languages.group_words import group_words
from cuetrack.movements.group_facts import OF_THE_CLASS, Fact
from cuetrack.movements.group_reading import (
    GroupSaid,
    asks,
    echo,
    health,
    joined,
    mistake_in,
    read_group,
)

FILE = Path(__file__).parent / "data" / "group_descriptions.yaml"
DESCRIPTIONS = yaml.safe_load(FILE.read_text("utf-8"))
NOT_YET = {"new knee, new hip, new everything", "breast cancer survivor"}
"""Understood, with a word more or less told as unknown than was wished."""


def meaning(text):
    """Return what a text was read as, written as in the file."""
    said = read_group(text)
    return (
        {*map(str, said.facts), *(f"no {fact}" for fact in said.denied)},
        {f"?{word}" for word in said.unknown},
    )


@pytest.mark.parametrize("text", [*DESCRIPTIONS["before"], *DESCRIPTIONS["after"]])
def test_descriptions_mean_what_people_meant(text):
    """Facts, what nobody has, and words that must be told as not understood."""
    wanted = {**DESCRIPTIONS["before"], **DESCRIPTIONS["after"]}[text]
    facts, unknown = meaning(text)
    assert facts == {word for word in wanted if not word.startswith("?")}
    if text not in NOT_YET:
        assert unknown == {word for word in wanted if word.startswith("?")}


def test_every_fact_has_words():
    """What the rules know and what the language names are the same facts."""
    words = group_words()
    assert set(words.says) == set(Fact)
    assert {phrase.fact for phrase in words.phrases} == set(Fact)
    assert set(words.asks) <= set(Fact) - OF_THE_CLASS


@pytest.mark.parametrize("fact", Fact)
def test_a_fact_is_read_back_from_its_own_name(fact):
    """As a plan keeps it, and as it is said in a sentence."""
    assert read_group(fact).facts == (fact,)
    assert fact in read_group(group_words().says[fact]).facts


@given(st.text(max_size=80))
def test_any_text_is_read(text):
    """Nothing that is typed is an error, and what is denied is not true as well."""
    said = read_group(text)
    assert set(said.facts).isdisjoint(said.denied)


@given(st.lists(st.sampled_from(health(Fact)), min_size=1, max_size=6, unique=True))
def test_facts_joined_in_one_phrase_are_all_found(facts):
    """However many, with "and" and commas between them."""
    says = group_words().says
    text = ", ".join(says[fact] for fact in facts[:-1])
    text = f"{text} and {says[facts[-1]]}"
    found = set(read_group(text).facts)
    general = {Fact.WEAK_SIDE} if {Fact.WEAK_LEFT, Fact.WEAK_RIGHT} & found else set()
    assert set(facts) - general <= found


def test_one_slip_of_typing_in_a_long_word_is_seen_to():
    """A letter lost in any long word leaves the fact what it was."""
    for word in ("arthritis", "osteoporosis", "dizziness", "parkinsons", "shoulder"):
        wanted = read_group(word).facts
        for at in range(1, len(word) - 1):
            assert read_group(word[:at] + word[at + 1 :]).facts == wanted


def test_nobody_is_answered_and_silence_is_not():
    """ "Nobody" denies every fact of health; an empty answer denies none."""
    assert set(read_group("nobody").denied) == set(health(Fact))
    assert read_group("") == GroupSaid()
    assert not read_group("I don't know")
    rest = read_group("sore knees, nothing else")
    assert Fact.SORE_KNEE in rest.facts
    assert set(rest.denied) == set(health(Fact)) - {Fact.SORE_KNEE}


def test_what_is_lacking_is_not_denied():
    """ "No feeling" and "no use" name a weakness, they do not deny it."""
    assert read_group("no feeling in her left hand").facts
    assert not read_group("no feeling in her left hand").denied


def test_the_echo_says_what_was_taken():
    """In words of the language, with what nobody has."""
    assert echo(read_group("back trouble, weak on the left")) == (
        "I take it: back pain, a weak left side."
    )
    assert echo(read_group("nobody")) == "I take it: nobody needs care."
    assert echo(read_group("lupus")) == ""


def test_a_second_answer_adds_to_the_first():
    """What was understood is kept when another word was not."""
    first = read_group("sore knees, lupus")
    both = joined(first, read_group("falls; no knee trouble"))
    assert both.facts == (Fact.SORE_KNEE, Fact.FALLS)
    assert both.denied == ()


def test_facts_without_a_rule_name_whom_to_ask():
    """A pacemaker is understood, and the heart clinic knows."""
    ((name, whom),) = asks(read_group("sore backs and a pacemaker"))
    assert name == "a pacemaker"
    assert "heart clinic" in whom


def test_a_mistake_names_the_words_and_what_would_do():
    """What is not understood is told as it was written."""
    what, remedy = mistake_in("sore knees, Lupus")
    assert '"Lupus"' in what
    assert "a new hip" in remedy
    assert mistake_in("sore knees") is None
