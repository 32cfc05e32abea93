"""What is written is put into words before an engine reads it."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cuetrack.languages import normalisation as spoken_text
from cuetrack.languages.normalisation import say_as, unspeakable

SAID = {
    "30 s": "thirty seconds",
    "30s": "thirty seconds",
    "30 sec. hold": "thirty seconds hold",
    "30-second hold": "thirty second hold",
    "45 sec": "forty-five seconds",
    "10 min": "ten minutes",
    "1 min": "one minute",
    "1 min 30 s": "one minute thirty seconds",
    "1:30": "one minute thirty seconds",
    "0:45": "forty-five seconds",
    "1:00:00": "one hour",
    "1:30-2:00": "one minute thirty seconds to two minutes",
    "2x": "two times",
    "2\u00d7": "two times",
    "10x": "ten times",
    "3 x 10": "three times ten",
    "L/R": "left and right",
    "R leg": "right leg",
    "3-2-1": "three, two, one",
    "3\u2026 2\u2026 1": "three, two, one",
    "8-10 reps": "eight to ten reps",
    "8\u201310 reps": "eight to ten reps",
    "2 kg": "two kilograms",
    "2.5 kg": "two point five kilograms",
    "2 kg weights": "two kilogram weights",
    "3 lb weights": "three pound weights",
    "1 kg weights": "one kilogram weights",
    "5 lb": "five pounds",
    "5lbs": "five pounds",
    "1/2": "a half",
    "2/3": "two thirds",
    "\u00bd": "a half",
    "1\u00bd min": "one and a half minutes",
    "6/12": "six of twelve",
    "120/80": "one hundred and twenty over eighty",
    "w/ band": "with band",
    "w/o band": "without band",
    "#2": "number two",
    "No. 3": "number three",
    "no weights": "no weights",
    "RPE 4-5": "R P E four to five",
    "e.g. a towel": "for example a towel",
    "towel, band etc.": "towel, band and so on",
    "you & me": "you and me",
    "50 %": "fifty percent",
    "90\u00b0": "ninety degrees",
    "20 \u00b0C": "twenty degrees Celsius",
    "65+": "sixty-five plus",
    "in your 70s": "in your seventies",
    "heel/toe": "heel or toe",
    "sit-to-stand": "sit-to-stand",
    "heel\u2013toe": "heel-toe",
    "Next\u2026 rest": "Next, rest",
    "Wait...": "Wait.",
    "go\u2014now": "go, now",
    "Lift (or hold)": "Lift, or hold",
    "1st": "first",
    "22nd": "twenty-second",
    "Dr. Lee": "Doctor Lee",
    "\u201cFeet\u201d \u2018flat\u2019": "Feet flat",
    "Don\u2019t lock": "Don't lock",
    "STOP now": "stop now",
    "DON'T lock": "don't lock",
    "AMRAP": "as many rounds as possible",
    "Stop \U0001f463 now": "Stop now",
    "1,000 steps": "one thousand steps",
    "-5": "minus five",
    "Feet flat\nShoulders down": "Feet flat, Shoulders down",
    "": "",
}


@pytest.mark.parametrize(("written", "spoken"), SAID.items())
def test_marks_are_said_as_a_leader_would_say_them(written, spoken):
    """Each mark an engine is known to misread has its words."""
    assert say_as(written) == spoken


@pytest.mark.parametrize(
    ("language", "written", "spoken"),
    [
        ("de", "30 s", "30 Sekunden"),
        ("de", "1 min", "eine Minute"),
        ("de", "1:30", "eine Minute 30 Sekunden"),
        ("de", "z. B. 8-10 x", "zum Beispiel 8 bis 10 mal"),
        ("de-at", "\u00bd", "ein halb"),
        ("fr", "1 min 30 s", "une minute 30 secondes"),
        ("fr", "n\u00b0 3", "num\u00e9ro 3"),
        ("fr", "2 kg", "2 kilos"),
        ("es", "1 min", "un minuto"),
        ("es", "\u00a13-2-1!", "\u00a13, 2, 1!"),
        ("es-419", "n.\u00ba 2", "n\u00famero 2"),
        ("pl", "3-2-1", "3, 2, 1"),
        ("pl", "\u017c\u00f3\u0142w 30 s", "\u017c\u00f3\u0142w 30 s"),
    ],
)
def test_other_languages_have_tables_of_their_own(language, written, spoken):
    """Units agree with one and with more; digits are left to the engine."""
    assert say_as(written, language) == spoken


def test_pronunciations_replace_whole_words_whatever_their_case():
    """The longer of two that fit is taken, and no part of a word."""
    said = {"Siobhan": "shiv awn", "Siobhan Lee": "shiv awn lay", "ham": "hum"}
    assert say_as("siobhan and SIOBHAN LEE: hamstring", "en", said) == (
        "shiv awn and shiv awn lay: hamstring"
    )
    assert say_as("ham", "en", [("ham", "hum")]) == "hum"


def test_what_cannot_be_said_is_reported_once_each():
    """Pictures, other scripts, and a prime that may mean feet or minutes."""
    assert unspeakable("\U0001f463 5' \U0001f463 \u043f") == (
        "'",
        "\U0001f463",
        "\u043f",
    )
    assert unspeakable("\u201cDon't\u201d (30 s) \u2013 2\u00d7, 50 %\u2026") == ()
    assert unspeakable("\u043f\u0440\u0438\u0432\u0435\u0442", "ru") == ()


MARKS = (
    "30 s|1:30|2x|x|L/R|3-2-1|-|\u2013|\u2014|\u2026|...|.|'|\"|\u00bd|kg|KG|1|2|10"
    "|1,000|e.g.|w/|#|No.|RPE|STOP| |\n|(|)|/|%|\u00b0|&|+|a|The|70s|their|1st"
    "|\U0001f463|\u00e9|\u00df|\u0130|\ufb01|\u00ba|~|:|;|!|?|lb|I'M|_|*|\u00b2"
)
PLAIN = [
    "Feet",
    "flat",
    "I",
    "a",
    "etc",
    "vs",
    "Don't",
    "L",
    "leg",
    ", ",
    ". ",
    "! ",
    ": ",
    " ",
]
pieces = st.sampled_from(MARKS.split("|"))
texts = st.lists(pieces | st.text(max_size=3), max_size=8).map("".join)
languages = st.sampled_from(["en", "de", "fr", "es", "pl"])


@settings(deadline=None, max_examples=200)
@given(texts, languages)
def test_text_in_words_stays_as_it_is(text, language):
    """Saying what is already said changes nothing, and all of it can be said."""
    said = say_as(text, language)
    assert say_as(said, language) == said
    assert unspeakable(said, language) == ()


@settings(deadline=None, max_examples=200)
@given(texts)
def test_english_leaves_no_digit_to_the_engine(text):
    """Every number is in words."""
    assert not any(char.isdigit() for char in say_as(text))


@settings(deadline=None, max_examples=200)
@given(
    st.lists(st.sampled_from(PLAIN)).map("".join),
    languages,
)
def test_plain_text_takes_a_short_way_to_the_same_words(text, language):
    """What is taken for plain would come out of the rules as it went in."""
    table = spoken_text.rewrite_table_of(language)
    if spoken_text._is_plain(text, table):
        assert spoken_text._by_rules(text, table) == text


@pytest.mark.outside
@pytest.mark.parametrize("number", [0, 7, 15, 21, 45, 90, 105, 1000, 12_345])
def test_numbers_are_said_as_num2words_says_them(number):
    """Outside reference: the num2words package, English cardinals."""
    from num2words import num2words  # noqa: PLC0415

    assert say_as(f"{number} taps") == f"{num2words(number)} taps".replace(",", "")


def test_plain_text_needs_no_number_words():
    """A text without numbers is said without loading what spells numbers."""
    code = (
        "import sys; from cuetrack.languages.normalisation import say_as;"
        "say_as('Feet flat'); sys.exit('num2words' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
