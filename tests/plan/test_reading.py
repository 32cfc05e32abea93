"""A plan says what its leader meant, and the rest has a sensible default."""

import unicodedata

import pytest
from hypothesis import given
from plan.strategies import legal_plans

from cuetrack.cues.timeline import lay_out
from cuetrack.movements.library import load_library
from cuetrack.movements.sides import NAMED_SIDES
from cuetrack.plan.lengths import section_length_ms
from cuetrack.plan.model import (
    Acknowledgement,
    Coaching,
    CountFrom,
    Counting,
    FreeCue,
    Group,
    Moment,
    Movement,
    Music,
    RecoveryBreak,
    SectionKind,
)
from cuetrack.plan.reading import parse_plan


def read(text, **options):
    return parse_plan(text, "p", **options)


def section(text, kind, **options):
    (found,) = [s for s in read(text, **options).sections if s.kind is kind]
    return found


def warm_up(body, **options):
    return section("title: A\nwarm-up: " + body, SectionKind.WARM_UP, **options)


def intervals(body, **options):
    return section("title: A\nintervals: " + body, SectionKind.INTERVALS, **options)


def names_and_seconds(found):
    return [(m.name, m.duration_ms / 1000) for m in found.movements]


def test_two_lines_are_a_class_with_welcome_and_close():
    """Whoever listens hears the safety words even if the plan forgets them."""
    plan = read("title: A\nwarm-up: easy march\n")
    assert [(s.kind, s.title) for s in plan.sections] == [
        (SectionKind.WELCOME, "Welcome"),
        (SectionKind.WARM_UP, "Warm-up"),
        (SectionKind.CLOSE, "Close"),
    ]
    assert [s.duration_ms for s in plan.sections] == [60_000, None, 80_000]
    assert (plan.language, plan.voice, plan.music) == ("en", None, None)
    assert (plan.coaching, plan.counting) == (Coaching.EVERYTHING, Counting.BOTH)
    assert plan.group == Group(age=75, level_db_spl=65.0)


def test_the_clock_alone_has_a_shorter_welcome():
    """A leader who talks herself needs less of the voice."""
    plan = read("title: A\ncoaching: clock\nwarm-up: easy march\n")
    assert plan.sections[0].duration_ms == 30_000


@pytest.mark.parametrize(
    "plan",
    [
        "title: A\nclose: none\nwelcome: none\nintervals: {movements: [a]}\n",
        "title: A\nsections: [intervals: {movements: [a]}, close: none]\n",
    ],
)
def test_a_close_that_is_not_wanted_leaves_time_to_stand_up_safely(plan):
    """Fifteen seconds stay, so that no last word falls into the work."""
    last = read(plan).sections[-1]
    assert (last.kind, last.duration_ms) == (SectionKind.CLOSE, 15_000)


def test_welcome_and_close_can_be_left_out_or_said_in_own_words():
    """none means none, words replace words, a time is a time."""
    plan = read("title: A\nwelcome: none\nwarm-up: easy march\n")
    assert [s.kind for s in plan.sections] == [SectionKind.WARM_UP, SectionKind.CLOSE]
    plan = read(
        "title: A\nwarm-up: easy march\n"
        "welcome: {for: 90, say: [Good morning., Sit down.]}\n"
    )
    assert plan.sections[0].duration_ms == 90_000
    assert plan.sections[0].says == ("Good morning.", "Sit down.")
    spoken = section("title: A\nclose: {say: Bye.}\nwarm-up: a", SectionKind.CLOSE)
    assert (spoken.duration_ms, spoken.says) == (80_000, ("Bye.",))
    timed = section("title: A\nclose: 1:00\nwarm-up: a", SectionKind.CLOSE)
    assert timed.duration_ms == 60_000


def test_each_side_is_called_what_the_library_calls_it():
    """A plan that only says each keeps the right leg and the left leg."""
    for written, sides in (
        ("each", ("right leg", "left leg")),
        ("[left leg, right leg]", ("left leg", "right leg")),
    ):
        body = f"[{{movement: leg extension, sides: {written}}}]"
        (movement,) = warm_up(body, library=load_library).movements
        assert movement.sides == sides
    (unknown,) = warm_up("[{movement: own idea, sides: each}]").movements
    assert unknown.sides == ("right", "left")


@pytest.mark.parametrize("body", ["intervals: {movements: [a]}", "warm-up: [a]"])
def test_without_a_welcome_the_first_opening_holds_the_safety_words(body):
    """45 seconds, unless the plan says otherwise; a welcome makes it shorter."""
    first = read(f"title: A\nwelcome: none\n{body}\nrecovery: 60\n").sections
    assert [each.opening_ms for each in first[:2]] == [45_000, 25_000]
    own = body.replace("[a]", "[a], opening: 40 s") if "{" in body else None
    if own:
        (plan, *_) = read(f"title: A\nwelcome: none\n{own}\n").sections
        assert plan.opening_ms == 40_000
    assert read(f"title: A\nwelcome: 60\n{body}\n").sections[1].opening_ms < 45_000


def test_sections_come_in_the_order_written():
    """A recovery may stand wherever it is wanted."""
    plan = read("title: A\nintervals: {movements: [a]}\nrecovery: 90\nwarm-up: [b]\n")
    assert [s.kind.value for s in plan.sections][1:-1] == [
        "intervals",
        "recovery",
        "warm-up",
    ]


def test_a_list_of_sections_may_hold_a_kind_twice():
    """Two blocks of intervals with a recovery between them are a class."""
    plan = read(
        "title: A\nsections:\n"
        "  - warm-up: [a]\n"
        "  - intervals: {title: Legs, movements: [b]}\n"
        "  - recovery: 60 s\n"
        "  - intervals: {title: Arms, movements: [c]}\n"
    )
    assert [s.title for s in plan.sections] == [
        "Welcome",
        "Warm-up",
        "Legs",
        "Recovery",
        "Arms",
        "Close",
    ]


def test_keys_are_read_in_any_usual_spelling():
    """A leader need not remember hyphens, capitals or which word we chose."""
    plan = read(
        "Title: A\nlisteners: {age: 80}\nWarm up: [a]\n"
        "INTERVALS: {moves: [b], between_rounds: none}\ncooldown: [c]\n"
    )
    assert plan.group.age == 80
    assert [s.kind.value for s in plan.sections][1:-1] == [
        "warm-up",
        "intervals",
        "cool-down",
    ]
    assert plan.sections[2].intervals.between_rounds is None


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("[a, b, c]", [("a", 100), ("b", 100), ("c", 100)]),
        ("{for: 100 s, movements: [a, b, c]}", [("a", 34), ("b", 33), ("c", 33)]),
        (
            "{for: 2 min, movements: [a: 1:30, b, c]}",
            [("a", 90), ("b", 15), ("c", 15)],
        ),
        ("[a: 40 s, b: 1:30]", [("a", 40), ("b", 90)]),
        ("[a: 4 min, b]", [("a", 240), ("b", 60)]),
        ("[a: 10 min, b, c]", [("a", 600), ("b", 30), ("c", 30)]),
        (
            "[{movement: a, for: 45}, {b: {for: 0:45}}, {c: }]",
            [("a", 45), ("b", 45), ("c", 210)],
        ),
    ],
)
def test_the_time_of_a_plain_section_is_shared(body, expected):
    """Own times stand; the rest is shared in whole seconds, first ones first."""
    assert names_and_seconds(warm_up(body)) == expected


def test_a_recovery_needs_no_movement_of_its_own():
    """Feet are kept moving, and a minute is usual."""
    text = "title: A\nwarm-up: a\nrecovery: "
    alone = section(text + "90 s", SectionKind.RECOVERY)
    assert names_and_seconds(alone) == [("easy march", 90)]
    shared = section(text + "[a, b]", SectionKind.RECOVERY)
    assert names_and_seconds(shared) == [("a", 30), ("b", 30)]


def test_openings_have_defaults_and_can_be_dropped():
    """25 seconds before a plain section, thirty before intervals, or none."""
    assert warm_up("[a]").opening_ms == 25_000
    assert intervals("{movements: [a]}").opening_ms == 30_000
    assert warm_up("{opening: none, movements: [a]}").opening_ms == 0
    assert intervals("{opening: 45 s, movements: [a]}").opening_ms == 45_000


def test_intervals_have_defaults():
    """Thirty, thirty, two rounds, a minute of easy march between them."""
    clock = intervals("{movements: [a]}").intervals
    assert (clock.work_ms, clock.rest_ms, clock.rounds) == (30_000, 30_000, 2)
    march = Movement(name="easy march")
    assert clock.between_rounds == RecoveryBreak(duration_ms=60_000, movement=march)
    assert not clock.break_after_last
    once = intervals("{rounds: 1, movements: [a]}").intervals
    assert once.between_rounds is None


def test_intervals_say_all_they_can():
    """Every key of an intervals section reaches the plan."""
    found = intervals(
        "{title: Arms, work: 0:45, rest: 15, rounds: 03, break after last: on,\n"
        "  between rounds: {for: 75 s, with: {movement: toe tap, how: Slowly.}},\n"
        "  movements: [{movement: a, work: 20 s, rest: 40 s}, b: 60]}\n"
    )
    clock = found.intervals
    assert (clock.work_ms, clock.rest_ms, clock.rounds) == (45_000, 15_000, 3)
    assert clock.between_rounds == RecoveryBreak(
        duration_ms=75_000, movement=Movement(name="toe tap", how="Slowly.")
    )
    assert clock.break_after_last
    assert [(m.duration_ms, m.rest_ms) for m in found.movements] == [
        (20_000, 40_000),
        (60_000, None),
    ]


@pytest.mark.parametrize("word", ["on", "yes", "true", "On"])
def test_yes_and_no_are_read_in_words(word):
    """YAML's own idea of these words does not get in the way."""
    body = f"{{break after last: {word}, movements: [a]}}"
    assert intervals(body).intervals.break_after_last


def test_a_movement_says_all_it_can():
    """Every key of a movement reaches the plan."""
    found = warm_up(
        "\n  - movement: knee lift\n    for: 1 min\n    sides: [right leg, left leg]\n"
        "    hold: no\n    how: >\n      Lift one knee,\n      then lower it.\n"
        "    in short: Up and down\n    form: [Sit tall, Look ahead]\n"
        "    easier: lift the heel\n    harder: add the arms\n    equipment: a towel\n"
        "    breathing: Breathe out\n    caution: Stay low\n    tempo: 100 bpm\n"
        "    effort: 5\n    regions: legs\n    tags: [hip]\n"
    ).movements[0]
    assert found == Movement(
        name="knee lift",
        duration_ms=60_000,
        sides=("right leg", "left leg"),
        how="Lift one knee, then lower it.",
        how_short="Up and down",
        form=("Sit tall", "Look ahead"),
        easier="lift the heel",
        harder="add the arms",
        equipment="a towel",
        breathing="Breathe out",
        caution="Stay low",
        tempo_bpm=100,
        effort=5,
        regions=("legs",),
        tags=("hip",),
    )
    assert (found.place.line, found.place.column) == (3, 5)


LIBRARY = {
    "Calf stretch": Movement(
        name="Calf stretch",
        duration_ms=99_000,
        rest_ms=9_000,
        sides=("right", "left"),
        hold_ms=0,
        how="One leg out.",
        how_short="Leg out.",
        form=("Back tall",),
        easier="bend the knee",
        equipment="a towel",
        tags=("calf",),
    ),
    "Easy march": Movement(name="Easy march", how="Walk on the spot."),
}


def test_the_library_fills_what_the_plan_leaves_unsaid():
    """A name alone brings its words; its usual time is not the plan's clock."""
    found = warm_up("[calf-stretches]", library=LIBRARY).movements[0]
    assert found == Movement(
        name="calf-stretches",
        duration_ms=300_000,
        sides=("right", "left"),
        hold_ms=0,
        how="One leg out.",
        how_short="Leg out.",
        form=("Back tall",),
        easier="bend the knee",
        equipment="a towel",
        tags=("calf",),
    )


def test_the_plan_wins_over_the_library():
    """Own words replace the library's; none and both take them away."""
    found = warm_up(
        "[{movement: Calf stretch, how: My way., sides: both, equipment: none,\n"
        "  form: none, hold: off}]",
        library=LIBRARY,
    ).movements[0]
    assert (found.how, found.how_short, found.sides) == ("My way.", None, ())
    assert (found.equipment, found.form, found.hold) == (None, (), False)
    assert found.easier == "bend the knee"


def test_an_unknown_movement_is_the_leaders_own():
    """The library helps, it does not forbid."""
    found = warm_up("[teapot pour]", library=LIBRARY).movements[0]
    assert found == Movement(name="teapot pour", duration_ms=300_000)


def test_the_break_is_filled_from_the_library():
    """The easy march between rounds comes with its words."""
    found = intervals("{movements: [a]}", library=LIBRARY).intervals
    assert found.between_rounds.movement.how == "Walk on the spot."


def test_each_means_right_then_left():
    """The usual order of sides has one word."""
    assert warm_up("[{movement: a, sides: each}]").movements[0].sides == (
        "right",
        "left",
    )


def test_free_cues_are_placed_from_start_end_and_halfway():
    """The model keeps what the leader counted from."""
    found = warm_up(
        "\n  movements: [a: 30 s]\n  cues:\n    - {say: One., at: 5}\n"
        "    - {say: Two., at: 40 s from end}\n    - {say: Three., at: halfway}\n"
        "    - {say: Four., at: 19 s after halfway}\n"
    )
    assert found.free_cues == (
        FreeCue(text="One.", at=Moment(5_000, CountFrom.START)),
        FreeCue(text="Two.", at=Moment(40_000, CountFrom.END)),
        FreeCue(text="Three.", at=Moment(0, CountFrom.HALFWAY)),
        FreeCue(text="Four.", at=Moment(19_000, CountFrom.HALFWAY)),
    )


@pytest.mark.parametrize(
    ("written", "music"),
    [
        ("none", None),
        ("tea.mp3", Music(files=("tea.mp3",))),
        ("[a.mp3, b.ogg]", Music(files=("a.mp3", "b.ogg"))),
        (
            "{file: a.mp3, rights: ours, tempo: 100}",
            Music(files=("a.mp3",), rights="ours", tempo_bpm=100),
        ),
        ("{own: calm}", Music(own="calm")),
        (
            "{own: calm, well under voice: yes}",
            Music(own="calm", well_under_voice=True),
        ),
        ("{own: calm, well under voice: no}", Music(own="calm")),
    ],
)
def test_music_is_named_in_every_form(written, music):
    """A name, a list, or keys."""
    assert read(f"title: A\nmusic: {written}\nwarm-up: a\n").music == music


def test_a_section_can_be_without_music():
    """None said is the music of the class; none wanted is empty music."""
    plan = read("title: A\nmusic: a.mp3\nwarm-up: {music: none, movements: [a]}\n")
    assert plan.sections[1].music == Music()
    assert plan.sections[2].music is None


def test_music_is_found_beside_the_plan(tmp_path):
    """With a folder the plan holds paths that open from anywhere."""
    (tmp_path / "tea.mp3").write_bytes(b"x")
    plan = read("title: A\nmusic: tea.mp3\nwarm-up: a\n", folder=tmp_path)
    assert plan.music.files == (str(tmp_path / "tea.mp3"),)


def test_the_settings_of_a_plan_reach_it():
    """Everything else at the top of a plan."""
    plan = read(
        "title: 2024\nlanguage: no\nvoice: JOE\ncounting: tones\nbring: water\n"
        "group: [New, hip  replacement]\npronounce: {Maud: mawd, on: onn}\n"
        "acknowledge: {t09: They asked.}\nwarm-up: a\n",
        voices=["joe"],
        languages=["no"],
    )
    assert (plan.title, plan.language, plan.voice) == ("2024", "no", "joe")
    assert (plan.counting, plan.bring) == (Counting.TONES, ("water",))
    assert plan.group.facts == ("new", "hip replacement")
    assert plan.pronunciations == (("Maud", "mawd"), ("on", "onn"))
    assert plan.acknowledged == (Acknowledgement(rule="T09", reason="They asked."),)


@pytest.mark.parametrize(
    "text",
    ["a\u202eb", "a\u200fb", "<script>alert(1)</script>", "🙂", "\uff46"],
)
def test_text_is_kept_as_text(text):
    """Odd characters are for the pages to escape, not for the plan to lose."""
    assert read(f'title: "{text}"\nwarm-up: a\n').title == text


def test_text_is_composed():
    """Letters typed in two parts become one (Unicode NFC)."""
    typed = unicodedata.normalize("NFD", "løft kneet på øya é")
    found = read(f"title: {typed}\nwarm-up: a\n").title
    assert found == unicodedata.normalize("NFC", typed) != typed


@given(legal_plans())
def test_a_section_is_as_long_as_its_timeline(plan):
    """Reading and laying out count the same time, to the millisecond."""
    segments = lay_out(plan).segments
    for index, one in enumerate(plan.sections):
        laid_out = sum(s.length_ms for s in segments if s.section == index)
        assert section_length_ms(one) == laid_out


@given(legal_plans())
def test_a_legal_plan_is_complete(plan):
    """Every movement of a plain section has a time, and something is done."""
    assert any(one.movements for one in plan.sections)
    for one in plan.sections:
        assert (one.duration_ms is None) == bool(one.movements)
        if one.intervals is None:
            assert all(movement.duration_ms for movement in one.movements)


@pytest.mark.parametrize(
    ("written", "facts"),
    [
        ("group: [Vertigo, dizziness, thin bones]", ("dizziness", "osteoporosis")),
        ("group: none", ()),
        ("group: {facts: Hip-replacement}", ("hip replacement",)),
    ],
)
def test_facts_of_a_group_are_kept_in_one_word(written, facts):
    """Other words for a fact switch the same rules, once."""
    assert read(f"title: A\n{written}\nwarm-up: a\n").group.facts == facts


def test_the_stated_length_is_kept_beside_the_real_one():
    """It changes no time; the review compares the two."""
    plan = read("title: A\nlasts: 20 min\nwarm-up: a\n")
    assert plan.lasts_ms == 1_200_000


@pytest.mark.parametrize("word", NAMED_SIDES)
def test_sides_are_named_in_a_plan_as_in_a_library(word):
    """Whoever reads "each leg" in the library may write it too, in any case."""
    plan = read(f"title: A\nwarm-up:\n  - {{movement: a, sides: {word.upper()}}}\n")
    assert plan.sections[1].movements[0].sides == NAMED_SIDES[word]
