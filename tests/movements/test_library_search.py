"""A search finds what fits and never what somebody has to avoid."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.contraindications import (
    contraindications,
    left_out,
    safe_words,
)
from cuetrack.movements.library import EMPTY_HANDS, find, library_entries
from cuetrack.movements.library_search import (
    UnknownWordError,
    Wanted,
    caution_named,
    equipment_named,
    fitting,
    region_named,
    understood,
)
from cuetrack.movements.strains import strains_of

WORDS = vocabulary()
ENTRIES = library_entries()
PHRASES = [
    (phrase, caution)
    for caution in WORDS.cautions
    for phrase in (caution.name, *caution.phrases, *caution.avoiding)
]
regions = st.sampled_from([*WORDS.regions, *WORDS.region_groups])
things = st.sampled_from([*WORDS.equipment, EMPTY_HANDS])
cautions = st.sampled_from(WORDS.cautions)


def without(phrase):
    """Return the movements that a caution leaves."""
    return fitting(ENTRIES, Wanted(without=(caution_named(phrase),)))


def names(entries):
    return [entry.name for entry in entries]


@given(
    st.lists(regions, max_size=2),
    st.lists(things, max_size=2),
    st.lists(cautions, max_size=3),
)
def test_a_search_returns_all_that_fits_and_nothing_else(where, what, avoided):
    """No excluded tag, region or equipment, whatever else is asked; nothing is lost."""
    wanted = frozenset().union(*map(region_named, where))
    asked = Wanted(regions=wanted, equipment=frozenset(what), without=tuple(avoided))
    found = fitting(ENTRIES, asked)
    for entry in ENTRIES:
        movement = entry.movement
        held = {*entry.equipment} | ({EMPTY_HANDS} if entry.empty_hands else set())
        fits = (
            (not where or bool(wanted & set(movement.regions)))
            and (not what or bool(held & set(what)))
            and not any(
                c.tags & strains_of(movement).keys()
                or left_out(movement, c.facts)
                or c.regions & set(movement.regions)
                or movement.equipment in c.equipment
                for c in avoided
            )
        )
        assert (entry in found) == fits


@pytest.mark.parametrize(("phrase", "caution"), PHRASES)
def test_every_phrase_means_its_caution(phrase, caution):
    """With and without "no", and in capitals."""
    assert caution_named(phrase) is caution
    assert caution_named(phrase.upper()) is caution


@pytest.mark.parametrize("caution", WORDS.cautions, ids=lambda caution: caution.name)
def test_every_caution_leaves_some_out_and_enough_over(caution):
    """One that neither excludes nor changes anything would be a false promise."""
    found = without(caution.name)
    changed = [e for e in found if safe_words(e.movement, caution.facts)]
    assert len(found) >= 40
    assert len(found) < len(ENTRIES) or changed


@pytest.mark.parametrize("caution", WORDS.cautions, ids=lambda caution: caution.name)
def test_a_caution_speaks_of_known_words(caution):
    """Its tags, regions and equipment are those movements have."""
    assert caution.tags <= set(WORDS.tags)
    assert caution.regions <= set(WORDS.regions)
    assert caution.equipment <= set(WORDS.equipment)
    assert caution.tags or caution.regions or caution.equipment or caution.facts


@pytest.mark.parametrize(
    ("caution", "gone"),
    [
        ("hip replacement", ["cycle legs", "front hip stretch", "knee to hand"]),
        ("shoulder work", ["overhead press", "shoulder roll", "triceps stretch"]),
        ("osteoporosis", ["upper back stretch"]),
        ("twisting", ["slow turn", "knee to hand"]),
        ("home alone", ["sit to stand", "stand ready"]),
        ("heart condition", ["overhead press"]),
        ("wheelchair", ["sit to stand", "stand ready"]),
        ("weights", ["biceps curl", "side arm raise"]),
        ("gripping", ["ball squeeze", "biceps curl", "finger fan"]),
    ],
)
def test_what_the_trade_leaves_out_is_left_out(caution, gone):
    """The usual cautions of seated classes; common practice."""
    assert not set(gone) & set(names(without(caution)))


@pytest.mark.parametrize(
    "fact", [f for f in contraindications() if f != "beta blocker"]
)
def test_what_a_plan_says_of_its_group_can_be_searched_by(fact):
    """Each fact that rules know leaves movements out, or changes how they are done."""
    found = without(fact)
    changed = [e for e in found if safe_words(e.movement, [fact])]
    assert len(found) < len(ENTRIES) or changed


def test_several_facts_in_one_phrase_can_be_searched_by():
    """In the words people use for a group."""
    caution = caution_named("bad knees and arthritis, wheelchairs")
    assert caution.facts == ("knee pain", "arthritis", "wheelchair")
    assert "sit to stand" not in names(without("arthritis and wheelchairs"))


def test_people_with_a_new_hip_can_still_march():
    """Low, with the caution in the movement's own words."""
    found = names(without("hip replacement"))
    assert {"easy march", "ankle pump", "heel dig"} <= set(found)
    assert "knee below the hip" in find("easy march").movement.caution


@pytest.mark.parametrize(
    ("text", "words", "where", "held", "avoided"),
    [
        ("arms, no weights", (), {"arms"}, set(), ["no weights"]),
        ("Upper Back with a towel", (), {"upper back"}, {"a towel"}, []),
        (
            "safe after hip replacement",
            (),
            set(),
            set(),
            ["safe after hip replacement"],
        ),
        ("safe with osteoporosis", (), set(), set(), ["safe with thin bones"]),
        ("balance, seated only", (), {"balance"}, set(), ["no standing"]),
        ("no shoulder work", (), set(), set(), ["no shoulder work"]),
        ("shoulder work", (), {"shoulders"}, set(), []),
        ("march", ("march",), set(), set(), []),
        ("band pull apart", ("band pull apart",), set(), set(), []),
        ("side reech", ("side", "reech"), set(), set(), []),
        ("", (), set(), set(), []),
    ],
)
def test_free_words_are_understood(text, words, where, held, avoided):
    """Cautions, things and regions in the words people use; the rest is a name."""
    wanted = understood(text)
    assert wanted.words == words
    assert wanted.regions == where
    assert wanted.equipment == held
    assert [caution.name for caution in wanted.without] == avoided


def test_what_a_word_keeps_out_is_found_by_it():
    """Who looks for standing finds just what "no standing" leaves out."""
    for word in ("standing", "overhead", "twisting"):
        found, left = (fitting(ENTRIES, understood(t)) for t in (word, f"no {word}"))
        assert found
        assert sorted(names(found + left)) == sorted(names(ENTRIES))
    standing = names(fitting(ENTRIES, understood("standing, legs")))
    assert {"sit to stand", "supported half-rise"} <= set(standing)


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.name)
def test_a_movement_is_found_by_its_own_name_in_free_words(entry):
    """Even when its name holds words that mean regions or equipment."""
    for name in entry.names:
        assert entry in fitting(ENTRIES, understood(name))


@pytest.mark.parametrize(
    ("look_up", "word", "near"),
    [
        (region_named, "sholders", "shoulders"),
        (equipment_named, "towl", "towel"),
        (caution_named, "twistng", "no twisting"),
        (caution_named, "trombones", None),
    ],
)
def test_a_word_nobody_knows_is_refused_with_a_suggestion(look_up, word, near):
    """Never silently ignored: what was to be avoided would come back."""
    with pytest.raises(UnknownWordError) as caught:
        look_up(word)
    assert caught.value.near == near


def test_a_word_means_one_thing():
    """No word stands for two regions, two things or two cautions."""
    for lists in (WORDS.regions, WORDS.equipment):
        said = [word for key, others in lists.items() for word in (key, *others)]
        assert len(said) == len(set(said))
    phrases = [phrase for phrase, _ in PHRASES]
    meant = {phrase: {c.name for p, c in PHRASES if p == phrase} for phrase in phrases}
    assert all(len(cautions) == 1 for cautions in meant.values())
