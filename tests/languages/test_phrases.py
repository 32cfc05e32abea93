"""Promises of phrase packs: complete, checked when loaded, plain adult English."""

from __future__ import annotations

from importlib.resources import files
from string import Formatter

import pytest
import yaml

from cuetrack.cuekinds import CUE_KINDS, phrase_fields
from cuetrack.errors import CuetrackError
from cuetrack.languages.normalisation import say_as
from cuetrack.languages.phrases import (
    Phrases,
    inline,
    known_languages,
    load_phrases,
    read_phrases,
)
from cuetrack.languages.reading_level import unwanted_words

EXAMPLE = {
    "title": "Morning class",
    "length": "twenty minutes",
    "rounds": "three rounds",
    "movements": "six movements",
    "work": "forty seconds",
    "rest": "twenty seconds",
    "things": "a cushion and some water",
    "equipment": "hand weights",
    "movement": "heel dig",
    "meanwhile": "Keep going.",
    "other_side": "Two soft notes mean the other side.",
    "side_first": "The right side first.",
    "how": "Reach one heel forward.",
    "how_short": "Heels forward.",
    "set_up": "Band on.",
    "hold": "Ease into it, and hold.",
    "afterwards": "Sit back in your chair.",
    "let_go": "Let go.",
    "point": "Sit tall.",
    "point_inline": "sit tall.",
    "option": "Keep it small.",
    "option_inline": "keep it small.",
    "side": "left side",
    "count": "ten",
    "ordinal": "third",
}
"""Short, ordinary values for every placeholder."""

PHRASES = phrase_fields(CUE_KINDS)

ELDERSPEAK = frozenset(
    {
        *("sweetie", "dear", "darling", "lovely", "clever", "bless", "pop"),
        *("little", "tiny", "old", "elderly", "seniors", "our", "young"),
    }
)
"""Words that talk down to older adults (communication guides for their care)."""

IDIOMS = (
    "piece of cake",
    "in no time",
    "home stretch",
    "give it",
    "hang in",
    "dig deep",
    "keep it up",
    "no pain",
    "off we go",
)
JARGON = ("abduct", "scapula", "isometric", "rpe", "flexion", "glute", "quad")


def every_wording() -> list[str]:
    """Return each wording of the English pack, filled with ordinary values."""
    phrases = load_phrases("en")
    return [
        text
        for key, fields in PHRASES.items()
        for variant in phrases.variants(key, **{f: EXAMPLE[f] for f in fields})
        for text in variant
    ]


def english_pack() -> dict:
    path = files("cuetrack.languages").joinpath("en", "phrases.yaml")
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def rewritten(**changes) -> str:
    return yaml.safe_dump(english_pack() | changes, allow_unicode=True)


def test_english_is_known():
    """English is there, and a region falls back on its language."""
    assert "en" in known_languages()
    assert load_phrases("en-GB").language == "en"


def test_unknown_language_names_those_there_are():
    """The message lists the languages one may use."""
    with pytest.raises(CuetrackError, match=r"language 'tlh'.*Use one of these:.*en"):
        load_phrases("tlh")


@pytest.mark.parametrize("language", known_languages())
def test_every_pack_loads(language):
    """Each pack in the package passes its checks."""
    assert isinstance(load_phrases(language), Phrases)


def test_pack_without_a_phrase_is_refused():
    """A missing phrase shows when the pack is loaded, by name."""
    cues = english_pack()["cues"]
    del cues["halfway"]
    with pytest.raises(CuetrackError, match=r"en\.yaml: cues: 'halfway' is missing"):
        read_phrases(rewritten(cues=cues), "en.yaml")


def test_misspelt_phrase_gets_the_nearest_name():
    """An unknown phrase is named, with the one probably meant."""
    cues = english_pack()["cues"] | {"halfwey": ["Half."]}
    with pytest.raises(CuetrackError, match=r"'halfwey' is not known.*'halfway'"):
        read_phrases(rewritten(cues=cues), "en.yaml")


@pytest.mark.parametrize(
    "text",
    ["Go, {wanderer}!", "{movement.name}", "{movement!r}", "{movement:>9}", "{}"],
)
def test_placeholder_that_cannot_be_filled_is_refused(text):
    """Only the placeholders of a phrase, bare, may stand in it."""
    cues = english_pack()["cues"] | {"start": [text]}
    with pytest.raises(CuetrackError, match=r"start, variant 1: .* cannot be filled"):
        read_phrases(rewritten(cues=cues), "en.yaml")


def test_number_that_yaml_takes_for_a_truth_value_is_refused():
    """An unquoted 'no' is false to YAML; the message shows what was read."""
    numbers = {0: False}
    with pytest.raises(CuetrackError, match="numbers: 0: expected words, found False"):
        read_phrases(rewritten(numbers=numbers), "en.yaml")


def test_unpaired_brace_is_refused():
    """A lone brace is a mistake of the pack, not a crash in a class."""
    cues = english_pack()["cues"] | {"stop": ["And rest {"]}
    with pytest.raises(CuetrackError, match=r"the braces in 'And rest \{' do not pair"):
        read_phrases(rewritten(cues=cues), "en.yaml")


def test_all_mistakes_are_told_at_once():
    """Every mistake is listed, not only the first."""
    with pytest.raises(CuetrackError) as caught:
        read_phrases(rewritten(count=["Two", "One"], pieces={}, name=None), "en.yaml")
    message = str(caught.value)
    assert "expected three words" in message
    assert "'name' is missing" in message
    assert "pieces: 'water' is missing" in message


@pytest.mark.parametrize("text", ["[", "just words", "- a\n- b"])
def test_what_is_no_pack_is_refused(text):
    """Broken YAML and YAML that is no table end in a message."""
    with pytest.raises(CuetrackError, match=r"^xx\.yaml: "):
        read_phrases(text, "xx.yaml")


def test_no_sentence_is_longer_than_twelve_words():
    """Twelve words a sentence is what an ear can hold (plain-language guides)."""
    for text in every_wording():
        for part in text.replace("?", ".").replace("!", ".").split("."):
            assert len(part.split()) <= 12, text


def test_no_cue_is_longer_than_twenty_words():
    """Twenty words are eight seconds at 150 words a minute."""
    for text in every_wording():
        assert len(text.split()) <= 20, text


def test_wordings_get_no_longer_towards_the_shortest():
    """Each next wording of a variant saves time."""
    phrases = load_phrases("en")
    for key, fields in PHRASES.items():
        for variant in phrases.variants(key, **{f: EXAMPLE[f] for f in fields}):
            lengths = [len(text.split()) for text in variant]
            assert lengths == sorted(lengths, reverse=True), variant


def test_nothing_talks_down_or_needs_a_dictionary():
    """No elderspeak, no idioms, no jargon."""
    for text in every_wording():
        words = text.lower().replace(".", " ").replace(",", " ").split()
        assert not set(words) & set(ELDERSPEAK), text
        assert not [idiom for idiom in IDIOMS if idiom in text.lower()], text
        assert not [word for word in JARGON if word in text.lower()], text
        assert "floor" not in words, text


def test_nothing_is_spelt_like_a_word_said_otherwise():
    """A voice that reads "use" as the noun, or "lead" as the metal, says it wrong."""
    assert unwanted_words("Open the arms, then close them.")
    for text in every_wording():
        assert not unwanted_words(text), text


def test_there_is_variety():
    """At least eight encouragements, and several of each call of the clock."""
    phrases = load_phrases("en")
    assert len(phrases.templates["encouragement"]) >= 8
    for key in ("time left", "halfway", "start", "stop", "where", "side change"):
        assert len(phrases.templates[key]) >= 3, key


def test_no_two_variants_share_a_wording_where_nothing_may_be_repeated():
    """Even the short wordings of different encouragements differ."""
    templates = load_phrases("en").templates
    for kind in CUE_KINDS.values():
        for key in () if kind.may_repeat else kind.phrases:
            texts = [text for variant in templates[key] for text in variant]
            assert len(texts) == len(set(texts)), key


def test_stop_signs_are_all_named_even_at_the_shortest():
    """Chest pain, sharp pain, dizziness, sickness, short of breath: always all."""
    for variant in load_phrases("en").variants("safety stop signs"):
        for text in variant:
            lowered = text.lower()
            assert "chest pain" in lowered
            assert "sharp pain" in lowered
            assert "dizzy" in lowered
            assert "sick" in lowered
            assert "breath" in lowered
            assert "stop" in lowered


def test_standing_up_is_slow_with_hands_on_the_seat_at_every_length():
    """The last safety words never lose what they are for."""
    for variant in load_phrases("en").variants("safety stand"):
        for text in variant:
            assert "slowly" in text
            assert "seat" in text


def test_empty_fields_leave_no_gap():
    """A preview without how-to reads as a whole sentence."""
    fields = dict.fromkeys(PHRASES["preview brief"], "") | {"movement": "heel dig"}
    (variant,) = load_phrases("en").variants("preview brief", **fields)
    assert variant == ("Next: heel dig.",)


def test_lengths_of_time_in_words():
    """Minutes and seconds are counted with the right noun."""
    phrases = load_phrases("en")
    assert phrases.length(40_000) == "forty seconds"
    assert phrases.length(61_000) == "one minute one second"
    assert phrases.length(120_000) == "two minutes"
    assert phrases.length(0) == "zero seconds"
    assert phrases.number(117) == "117"


def test_lists_in_words():
    """One, two or more things read as a list."""
    phrases = load_phrases("en")
    assert phrases.listed(("water",)) == "water"
    assert phrases.listed(("a", "b")) == "a and b"
    assert phrases.listed(("a", "b", "c")) == "a, b and c"


def test_articles_give_way():
    """'your a soft ball' is never said."""
    phrases = load_phrases("en")
    assert phrases.without_article("a soft ball") == "soft ball"
    assert phrases.without_article("hand weights") == "hand weights"
    assert phrases.without_article("a") == "a"


def test_sides_and_ordinals():
    """Known sides and places have words, unknown ones stay as they are."""
    phrases = load_phrases("en")
    assert phrases.side("Right") == "right side"
    assert phrases.side("window") == "window"
    assert phrases.ordinal(3) == "third"
    assert phrases.ordinal(99) is None


@pytest.mark.parametrize(
    ("text", "side", "said"),
    [
        ("Lift that foot.", "right leg", "Lift the right foot."),
        ("That leg straight out.", "Left", "The left leg straight out."),
        ("As high as that feels good.", "right", "As high as that feels good."),
        ("Lift that foot.", "window", "Lift that foot."),
    ],
)
def test_a_part_of_the_body_is_told_with_its_side(text, side, said):
    """What fits either side is said of the one at work, and of a body alone."""
    assert load_phrases("en").of_side(text, side) == said


def test_body_sides_may_be_filled_with_the_side_alone():
    """A mistake in the table is told like those of all others."""
    wrong = {"that leg": "the {leg}"}
    with pytest.raises(CuetrackError, match="body sides: that leg"):
        read_phrases(rewritten(**{"body sides": wrong}), "en.yaml")


def test_whole_names_keep_their_capital_after_a_colon():
    """'I' and abbreviations are not made small."""
    assert inline("I sit tall") == "I sit tall."
    assert inline("Sit tall!") == "sit tall!"
    assert inline("") == ""


def test_every_placeholder_of_the_pack_has_a_value_here():
    """The example values of these tests cover the whole pack."""
    for variants in load_phrases("en").templates.values():
        for variant in variants:
            for text in variant:
                for _, field, _, _ in Formatter().parse(text):
                    assert field is None or field in EXAMPLE


def test_wordings_under_other_names_than_theirs_are_refused():
    """A variant has full, short and shortest, and full is never missing."""
    cues = english_pack()["cues"] | {"halfway": [{"ful": "Half.", "short": 5}]}
    with pytest.raises(CuetrackError) as caught:
        read_phrases(rewritten(cues=cues), "en.yaml")
    message = str(caught.value)
    assert "'full' is missing" in message
    assert "'ful' is not known. Did you mean 'full'?" in message
    assert "expected words, found 5" in message


def test_noun_that_cannot_be_counted_is_refused():
    """Each counted noun needs a form for one and a form for many."""
    counted = english_pack()["counted"] | {"round": {"one": "one round"}}
    with pytest.raises(CuetrackError, match="counted: 'round' needs 'one' and 'many'"):
        read_phrases(rewritten(counted=counted), "en.yaml")


def test_words_the_voice_says_rightly_are_not_respelled():
    """What is respelled is hard to recognise; the voice knows these as they are.

    Phonemes of the voice's own speller: biceps b-ai-s-e-p-s, triceps t-r-ai-s-e-p-s.
    """
    respelled = {word for word, _ in load_phrases("en").pronunciations}
    assert not respelled & {"biceps", "triceps"}


def test_open_and_close_is_said_as_the_verb():
    """The voice's speller makes "close" k-l-oh-s, as in near, and "cloze" k-l-oh-z."""
    said = say_as(
        "Next: open and close.", pronunciations=load_phrases("en").pronunciations
    )
    assert said == "Next: open and cloze."
