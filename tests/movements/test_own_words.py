"""Movements in a leader's own words are held to the table of contraindications."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from cuetrack.movements.contraindications import Suits, contraindications, verdict
from cuetrack.movements.group_facts import Fact
from cuetrack.movements.library import library_entries
from cuetrack.movements.model import Movement
from cuetrack.movements.own_words import with_words_read
from cuetrack.movements.strains import strains_of

FOLDER = Path(__file__).parent / "data" / "own_movements"
SENTENCES = {
    text: frozenset(map(Fact, facts))
    for file in sorted(FOLDER.iterdir())
    for text, facts in yaml.safe_load(file.read_text("utf-8"))
}


def own(how, **more):
    return with_words_read(Movement(name="our own", how=how, **more))


def verdicts_on(text):
    movement = own(text)
    return {fact: verdict(movement, fact) for fact in contraindications()}


def named(told):
    return {fact for fact, each in told.items() if each.ways or each.against}


def asked(told):
    return {f for f, each in told.items() if each.suits is Suits.NOT_REVIEWED}


def test_of_dangerous_sentences_most_are_named_for_every_fact():
    """At least 95 of 100, of 260 sentences that the list has by now been tuned on."""
    dangerous = {text: facts for text, facts in SENTENCES.items() if facts}
    whole = [t for t, facts in dangerous.items() if facts <= named(verdicts_on(t))]
    assert len(dangerous) == 160
    assert len(whole) >= 0.95 * len(dangerous)


def test_of_harmless_sentences_few_are_blamed():
    """At most 5 of 100."""
    harmless = [text for text, facts in SENTENCES.items() if not facts]
    blamed = [text for text in harmless if named(verdicts_on(text))]
    assert len(harmless) == 100
    assert len(blamed) <= 0.05 * len(harmless)


@pytest.mark.parametrize("text", [text for text, facts in SENTENCES.items() if facts])
def test_no_danger_is_passed_in_silence(text):
    """What is not named is said to be not reviewed, with what would tell."""
    told = verdicts_on(text)
    assert SENTENCES[text] <= named(told) | asked(told)
    assert all(told[fact].open_questions for fact in asked(told))


@pytest.mark.parametrize(
    ("how", "fact", "suits"),
    [
        ("Hug one knee to your chest", Fact.NEW_HIP, Suits.LEAVE_OUT),
        ("Touch your toes", Fact.NEW_HIP, Suits.LEAVE_OUT),
        ("Turn your chest to the right", Fact.THIN_BONES, Suits.SAFE_FORM),
        ("Twist right round to look behind you", Fact.THIN_BONES, Suits.LEAVE_OUT),
        ("Reach for the ceiling", Fact.SORE_SHOULDER, Suits.LEAVE_OUT),
        ("Lift your arms", Fact.SORE_SHOULDER, Suits.NOT_REVIEWED),
        ("Lift your arms to shoulder height", Fact.SORE_SHOULDER, Suits.FINE),
        ("Lift your arms", Fact.NEW_HIP, Suits.FINE),
        ("Enjoy yourself", Fact.NEW_HIP, Suits.NOT_REVIEWED),
    ],
)
def test_words_are_judged_as_positions_are(how, fact, suits):
    """Modified before it is left out, and asked about where the words do not tell."""
    assert verdict(own(how), fact).suits is suits


def test_tags_answer_what_words_leave_open():
    """A leader who writes tags has told, and what the words ask still counts."""
    told = own("Lift your arms, then touch your toes", tags=("grip",))
    assert verdict(told, Fact.HIGH_PRESSURE).open_questions == ()
    assert verdict(told, Fact.NEW_HIP).suits is Suits.LEAVE_OUT


def test_what_was_read_counts_though_movements_are_equal():
    """A verdict is not kept from before the words were read."""
    unread = Movement(name="our own", how="Reach for the ceiling")
    read = with_words_read(unread)
    assert unread == read
    assert verdict(unread, Fact.SORE_SHOULDER).suits is Suits.NOT_REVIEWED
    assert verdict(read, Fact.SORE_SHOULDER).suits is Suits.LEAVE_OUT


@pytest.mark.parametrize("entry", library_entries(), ids=lambda entry: entry.name)
def test_the_library_asks_what_it_did_before(entry):
    """Words that come from the library are not read: its positions tell more."""
    movement = entry.movement
    assert strains_of(with_words_read(movement)) == strains_of(movement)


@pytest.mark.parametrize("entry", library_entries(), ids=lambda entry: entry.name)
def test_words_of_the_library_read_as_own_are_not_blamed(entry):
    """Where the key positions are fine for somebody, the words for them are too."""
    known = entry.movement
    read = own(known.how, form=known.form, equipment=known.equipment)
    fine = {f for f in contraindications() if verdict(known, f).suits is Suits.FINE}
    assert not fine & named({fact: verdict(read, fact) for fact in fine})


def test_a_name_that_holds_another_is_like_it():
    """A movement of the library under a longer name."""
    longer = with_words_read(Movement(name="Morning knee lift", how="Up and down."))
    assert longer.read.like == "knee lift"
    assert "hip_flexion_gt90" in strains_of(longer)


def test_a_harder_option_of_ones_own_is_read_as_an_option():
    """It is told, and neither it nor an easier one is what all are asked to do."""
    known = next(e.movement for e in library_entries() if e.name == "heel dig")
    told = with_words_read(
        Movement(
            name="heel dig",
            how=known.how,
            easier="touch your toes",
            harder="reach for the ceiling",
        )
    )
    assert told.read.optional >= {"overhead"}
    assert not told.read.asked
