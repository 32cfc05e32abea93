"""Every movement of the library is whole, fits its clock, and says what it is."""

import re

import pytest
from hypothesis import assume, given
from plan.scripts import script_of
from plan.strategies import legal_plan_texts

from cuetrack.documents.names import movement_key
from cuetrack.documents.places import Place
from cuetrack.languages.reading_level import (
    reading_rules,
    sentences_of,
    unwanted_words,
    words_of,
)
from cuetrack.languages.vocabulary import vocabulary
from cuetrack.movements.contraindications import safe_words
from cuetrack.movements.group_facts import Fact
from cuetrack.movements.library import (
    by_name,
    find,
    library_entries,
    load_library,
    near,
)
from cuetrack.movements.positions.motion import Seating
from cuetrack.movements.positions.reading import motions
from cuetrack.movements.strains import strains_of
from cuetrack.movements.unknown import unknown_movements
from cuetrack.plan.lengths import section_length_ms
from cuetrack.plan.model import Role
from cuetrack.plan.reading import parse_plan

ENTRIES = library_entries()
LONGEST_SHORT_WORDS = 8
ENGLISH = reading_rules("en")
SLOW_VOICE_WORDS_A_MINUTE = 150
EFFORTFUL = {Role.STRENGTH, Role.TRUNK, Role.STRETCH}

each_entry = pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.name)


def texts_of(movement):
    """All texts of a movement in one, to look for words in."""
    return script_of(movement).casefold()


def test_the_library_holds_ninety_movements_of_every_kind():
    """Each role has enough to choose from."""
    assert len(ENTRIES) == 90
    for role, least in {
        Role.WARM_UP: 10,
        Role.ENERGISER: 10,
        Role.STRENGTH: 20,
        Role.TRUNK: 7,
        Role.STRETCH: 7,
        Role.RECOVERY: 3,
    }.items():
        assert sum(entry.movement.role is role for entry in ENTRIES) >= least, role


def test_every_name_means_one_movement():
    """Names and other names never clash, in any spelling."""
    keys = [movement_key(name) for entry in ENTRIES for name in entry.names]
    assert len(keys) == len(set(keys))
    assert len(load_library()) == len(keys)


def test_every_region_has_movements():
    """Nobody searches a region in vain."""
    worked = {region for entry in ENTRIES for region in entry.movement.regions}
    assert worked == set(vocabulary().regions)


@each_entry
def test_an_entry_is_whole(entry):
    """Wording, form, an easier way, role, regions, effort, pace and usual time."""
    movement = entry.movement
    assert movement.how
    assert movement.how_short
    assert 2 <= len(movement.form) <= 4
    assert movement.easier
    assert movement.role
    assert movement.regions
    assert movement.effort is not None
    assert entry.usual_ms
    assert entry.other_names
    paced = movement.tempo_bpm or movement.repetitions or movement.hold
    assert paced or movement.name == "stand ready"
    if movement.role in {Role.WARM_UP, Role.ENERGISER, Role.STRENGTH, Role.TRUNK}:
        assert movement.harder


@each_entry
def test_an_entry_leaves_the_time_to_the_plan(entry):
    """The usual time is advice; a plan's clock is its own."""
    assert entry.movement.duration_ms is None
    assert entry.movement.rest_ms is None


@each_entry
def test_words_are_few_enough_to_be_said_in_time(entry):
    """The how-to takes about eight seconds, the short one three; common practice."""
    movement = entry.movement
    assert len(words_of(movement.how)) <= ENGLISH.longest_cue
    assert len(words_of(movement.how)) / SLOW_VOICE_WORDS_A_MINUTE * 60 <= 8.0
    for short in (movement.how_short, *movement.form):
        assert len(words_of(short)) <= LONGEST_SHORT_WORDS
    for sentence in sentences_of(script_of(movement)):
        assert len(words_of(sentence)) <= ENGLISH.longest_sentence + 5
    for text in (movement.how, movement.breathing, movement.caution):
        for sentence in sentences_of(text or ""):
            assert len(words_of(sentence)) <= ENGLISH.longest_sentence


def level(text):
    """Return the reading level of an English text."""
    return ENGLISH.level.level(ENGLISH.count(text))


@each_entry
def test_a_script_is_easy_to_follow(entry):
    """All that may be said of one movement stays below the grade."""
    assert level(script_of(entry.movement)) <= ENGLISH.level.hardest


def test_the_whole_library_is_easy_to_follow():
    """Measured over thousands of words, and by its explanations alone."""
    assert (
        level("\n".join(script_of(e.movement) for e in ENTRIES))
        <= ENGLISH.level.hardest
    )
    assert level("\n".join(e.movement.how for e in ENTRIES)) <= ENGLISH.level.hardest
    cautions = [e.movement.caution for e in ENTRIES if e.movement.caution]
    assert level("\n".join(cautions)) <= ENGLISH.level.hardest


@each_entry
def test_the_words_are_those_of_one_adult_to_another(entry):
    """No talking down, no jargon or figures of speech, nothing said in two ways."""
    texts = (script_of(entry.movement), entry.movement.between_sides or "")
    assert unwanted_words("\n".join(texts)) == ()


@each_entry
def test_options_and_cautions_go_on_from_a_sentence(entry):
    """Options follow "if you want it easier", so they start small and end open."""
    movement = entry.movement
    for option in (movement.easier, movement.harder):
        if option:
            assert option[0].islower()
            assert option[-1].isalnum()
    for point in (*movement.form, movement.caution or "A", movement.breathing or "A"):
        assert point[0].isupper()
        assert point[-1].isalnum()
    for how in (movement.how, movement.how_short):
        assert how[0].isupper()
        assert how.endswith(".")


@each_entry
def test_tags_and_regions_are_known(entry):
    """So that the review and the search understand them."""
    assert set(entry.movement.tags) <= set(vocabulary().tags)
    assert len(set(entry.movement.tags)) == len(entry.movement.tags)
    assert set(entry.movement.regions) <= set(vocabulary().regions)
    assert {*entry.equipment} <= set(vocabulary().equipment)


@each_entry
def test_tags_agree_with_what_the_entry_says(entry):
    """A tag that a text or another key gives away is there, and no other."""
    movement, text = entry.movement, texts_of(entry.movement)
    tags = set(strains_of(movement))
    assert ("one_sided" in tags) == bool(movement.sides)
    assert ("needs_kit" in tags) == (not entry.empty_hands)
    assert ("standing" in tags) == bool(re.search(r"\bstand (up|slowly)\b", text))
    high = r"\bpress up\b|\bhand up high\b"
    assert ("overhead" in tags) == bool(re.search(high, text))
    assert "overhead" not in tags or "above_shoulder" in tags
    turned = r"turn your head|head turn|head slowly right"
    assert ("head_turn" in tags) == bool(re.search(turned, text))
    assert ("rapid" in tags) == ((movement.tempo_bpm or 0) >= 110)
    if "loaded" in tags:
        assert movement.equipment in {"light hand weights", "an exercise band"}
    if movement.equipment in {"light hand weights", "an exercise band"}:
        assert {"loaded", "resistance", "grip"} <= tags
    if "arms_only" in tags:
        assert not {"thighs", "calves", "ankles"} & set(movement.regions)


@each_entry
def test_hips_are_bent_where_the_words_say_so(entry):
    """Leaning from the hips and lifting the knee to the hand bend the hip most."""
    bends = (
        r"(tip|forward|lean) (forward )?from the hips|knee to the left hand|pedal"
        r"|lean forward|lean and rise|under that foot"
    )
    if re.search(bends, entry.movement.how.casefold()):
        assert {"hip_flexion_gt90", "lean_forward"} & set(strains_of(entry.movement))


@each_entry
def test_people_are_warned_where_a_movement_may_hurt(entry):
    """Lifted knees, bent or turned backs, turned heads and standing say how to care.

    The cautions are those usual in the trade; no source.
    """
    movement = entry.movement
    tags, caution = set(strains_of(movement)), (movement.caution or "").casefold()
    if {"hip_flexion_gt90", "hip_extension"} & tags and "standing" not in tags:
        assert "new hip" in caution or safe_words(movement, [Fact.NEW_HIP])
    if {"spinal_flexion", "rotation"} & tags and "hip_flexion_gt90" not in tags:
        assert "thin bones" in caution
    if "head_turn" in tags:
        assert "dizzy" in caution
    if "standing" in tags:
        assert caution
    if {"overhead", "above_shoulder"} & tags:
        assert "sore shoulder" in caution
    if "lift the knee" in texts_of(movement) and "march" in movement.name:
        assert re.search(r"below the hip|knees low", texts_of(movement))


@each_entry
def test_effort_always_has_a_breath(entry):
    """Nobody holds the breath against a load or a hold; common practice."""
    movement = entry.movement
    effortful = {"resistance", "isometric", "loaded"} & set(movement.tags)
    if effortful or movement.hold or movement.role in EFFORTFUL:
        assert re.search(r"breath", (movement.breathing or "").casefold())


@each_entry
def test_holds_are_short_unless_they_are_stretches(entry):
    """At most ten seconds of straining, 15 to 30 of stretching; common practice."""
    if "isometric" in entry.movement.tags:
        assert entry.hold_ms is not None
        assert entry.hold_ms <= 10_000
    if entry.movement.role is Role.STRETCH:
        assert entry.movement.hold
        sides = max(1, len(entry.movement.sides))
        assert 15_000 <= entry.hold_ms <= 30_000
        # Turning round on the chair takes time; to change legs does not.
        turning = "turn" in (entry.movement.between_sides or "")
        turning_ms = 10_000 if turning else 0
        assert entry.usual_ms == sides * (entry.hold_ms + turning_ms)


@each_entry
def test_it_can_be_followed_without_seeing_anyone(entry):
    """Sides have names, nothing comes later, and what is held is said to be held."""
    movement = entry.movement
    said = " ".join(
        filter(None, (movement.how, movement.how_short, *movement.form))
    ).casefold()
    assert not re.search(r"then (the other|change)|\blater\b|\bone (foot|leg)\b", said)
    if entry.alternating and movement.name != "march with head turn":
        assert {"right", "left"} <= set(words_of(movement.how.casefold()))
    if movement.sides:
        assert re.search(r"\b[Tt]hat\b", movement.told)
    if movement.role is Role.STRETCH:
        assert re.search(r"\bhold( it there| them there)?\.", movement.how)
        assert re.search(r"\bhold\b", movement.how_short)


@each_entry
def test_what_is_called_slow_is_slow(entry):
    """Slow means four seconds and more for one movement; common practice."""
    movement = entry.movement
    text = f"{movement.how} {movement.how_short}".casefold()
    if "slow" not in text or movement.role in {Role.STRETCH, Role.RECOVERY}:
        return
    if movement.name == "march with head turn" or movement.tempo_bpm is None:
        assert movement.repetitions is None or movement.repetitions <= 15
    else:
        assert movement.tempo_bpm <= 60


@each_entry
def test_no_weight_is_swung_quickly(entry):
    """Nothing heavier than the hand moves at a beat; common practice."""
    if movement_needs_load := set(entry.equipment) & {
        "light hand weights",
        "an exercise band",
    }:
        assert entry.movement.tempo_bpm is None, movement_needs_load


@each_entry
def test_a_band_is_told_its_place(entry):
    """Where it lies stands in the words of each movement that is done with one."""
    if "an exercise band" in entry.equipment:
        assert re.search(
            r"\b[Bb]and (under|across|around)|[Hh]old the band|middle of the band",
            entry.movement.told,
        )


@each_entry
def test_people_sit_forward_before_they_lean_or_reach_behind(entry):
    """Movements drawn away from the back of the chair say so first."""
    seating = motions()[entry.name].seating
    forward = seating is Seating.FORWARD
    assert entry.movement.how.startswith("Sit forward") == forward


def test_a_cool_down_can_be_all_below_the_shoulders():
    """No stretch and no recovery lifts the arms above them."""
    for entry in ENTRIES:
        if entry.movement.role in {Role.STRETCH, Role.RECOVERY}:
            assert not {"overhead", "above_shoulder"} & set(entry.movement.tags)


def test_nothing_is_taken_to_the_end_of_its_range():
    """Tags that forbid a movement to whole groups are for a leader's own ones."""
    never = {
        "flexion_end_range",
        "rotation_end_range",
        "combined_bend_twist",
        "head_below_heart",
        "crosses_midline_leg",
        "hip_int_rotation",
    }
    assert not never & {tag for entry in ENTRIES for tag in entry.movement.tags}


def test_breaths_differ_so_that_they_can_be_heard_as_new():
    """No more than two movements share a breathing text."""
    said = [e.movement.breathing for e in ENTRIES if e.movement.breathing]
    assert max(said.count(text) for text in said) <= 2


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Bicep curls", "biceps curl"),
        ("shoulder blade squeeze", "shoulder-blade squeeze"),
        ("Knee Extension", "leg extension"),
        ("hamstring stretches", "thigh stretch"),
        ("triceps kickback", "triceps kick-back"),
    ],
)
def test_a_movement_is_found_by_any_of_its_names(written, name):
    """Case, hyphens and plurals do not matter."""
    assert find(written).name == name


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("side reech", "side reach"),
        ("sholder rol", "shoulder roll"),
        ("calf strech", "calf stretch"),
        ("brisk marsh", "brisk march"),
    ],
)
def test_a_slip_is_understood(slip, meant):
    """Near misses suggest the name."""
    assert near(slip) == meant


def test_what_is_like_nothing_suggests_nothing():
    """A leader's own movement is no slip."""
    assert near("teapot pour") is None


def test_another_language_has_no_english_words():
    """A German class is not told what to do in English."""
    assert load_library("de") == {}
    assert load_library("en-GB") == load_library("en_US")
    assert load_library("../en") == {}


def plan(text):
    return parse_plan(f"title: A\n{text}", "p", library=load_library)


def test_a_plan_that_names_a_movement_gets_its_words():
    """How, form, options, breathing, tags; the time stays the plan's."""
    (found,) = (
        plan("warm-up: {for: 40 s, movements: [Chest presses]}").sections[1].movements
    )
    known = find("chest press").movement
    assert found.name == "Chest presses"
    assert found.duration_ms == 40_000
    for attribute in ("how", "form", "breathing", "equipment", "tags", "role"):
        assert getattr(found, attribute) == getattr(known, attribute)


def test_the_words_of_a_plan_win():
    """And the short form of another how-to is not mixed in."""
    text = "warm-up: [{movement: heel dig, how: Dig., form: none, effort: 2}]"
    (found,) = plan(text).sections[1].movements
    assert (found.how, found.how_short, found.form, found.effort) == (
        "Dig.",
        None,
        (),
        2,
    )
    assert found.easier == find("heel dig").movement.easier


def test_with_empty_hands_nothing_is_set_up_or_taken_off():
    """No band goes under the feet, and none goes slack, where there is no band."""
    banded = [e for e in ENTRIES if e.movement.set_up]
    assert len(banded) >= 5
    for entry in banded:
        text = f"{{movements: [{{{entry.name}: {{equipment: none}}}}, {entry.name}]}}"
        empty, full = plan(f"warm-up: {text}").sections[1].movements
        assert full.is_set_up, entry.name
        assert full.told.startswith(entry.movement.set_up), entry.name
        left = (empty.set_up, empty.between_sides, empty.afterwards)
        assert left == (None, None, None), entry.name
        assert empty.told == empty.how, entry.name
        assert "band" not in empty.told.casefold(), entry.name


def test_empty_hands_make_a_lift_easier():
    """Two of ten less, and no load; a stated effort stays."""
    text = "{movements: [{biceps curl: {equipment: none}}, biceps curl]}"
    empty, full = plan(f"warm-up: {text}").sections[1].movements
    assert (empty.effort, full.effort) == (3, 5)
    assert "loaded" not in empty.tags
    assert "loaded" in full.tags
    text = "warm-up: [{biceps curl: {equipment: none, effort: 4}}]"
    assert plan(text).sections[1].movements[0].effort == 4


def test_a_plan_in_another_language_is_not_filled_in_english():
    """The names may be the same."""
    (found,) = plan("language: de\nwarm-up: [ball squeeze]").sections[1].movements
    assert found.how is None


@given(legal_plan_texts())
def test_the_library_changes_no_time_of_any_plan(text):
    """Words are filled in, times stay; but a stated hold is done on each side."""
    bare, filled = parse_plan(text, "p"), parse_plan(text, "p", library=load_library)
    pairs = zip(bare.movements(), filled.movements(), strict=True)
    assume(not any(a.hold_ms and a.sides != b.sides for (a, _), (b, _) in pairs))
    for before, after in zip(bare.sections, filled.sections, strict=True):
        assert section_length_ms(before) == section_length_ms(after)
        assert [(m.name, m.duration_ms, m.rest_ms) for m in before.movements] == [
            (m.name, m.duration_ms, m.rest_ms) for m in after.movements
        ]
        for plain, full in zip(before.movements, after.movements, strict=True):
            assert plain.how is None or plain.how == full.how
            assert not plain.form or plain.form == full.form


def test_recovery_breaks_know_the_easy_march():
    """What fills a break that the plan does not describe, at no place of the plan."""
    section = plan("intervals: {movements: [heel dig]}").sections[1]
    filled = section.intervals.between_rounds.movement
    assert filled.how == find("easy march").movement.how
    assert filled.place == Place()


def test_movements_nobody_is_told_how_to_do_are_noted_with_a_suggestion():
    """Each once, with its place; an own how-to or a known name says nothing."""
    text = (
        "warm-up: [side reech, teapot pour, heel dig]\n"
        "cool-down: [side reeches, {wave: {how: Wave slowly.}}]"
    )
    notes = unknown_movements(plan(text).movements(), "en")
    assert [(n.name, n.near, n.place.line) for n in notes] == [
        ("side reech", "side reach", 2),
        ("teapot pour", None, 2),
    ]
    assert 'Did you mean "side reach"?' in str(notes[0])
    assert '"how"' in str(notes[1])


def test_a_break_may_hold_a_movement_nobody_knows():
    """It is noted like any other."""
    text = "intervals: {movements: [heel dig], between rounds: {with: rumba}}"
    assert [note.name for note in unknown_movements(plan(text).movements(), "en")] == [
        "rumba"
    ]


def test_keys_are_those_of_names():
    """What a reader of the mapping looks up by."""
    for key in by_name(ENTRIES):
        assert movement_key(key) == key


def test_the_short_how_to_does_not_repeat_the_name():
    """The voice says the name before it: "Next: brisk march again. Brisk steps ..."."""
    for movement in load_library("en").values():
        words = set(re.findall("[a-z]+", movement.name.lower()))
        short = set(re.findall("[a-z]+", (movement.how_short or "").lower()))
        assert not words <= short, movement.name
