"""The parts of the room check on values made by hand, and their laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs
from scipy.signal import fftconvolve

from cuetrack.output.track.cue_rows import CueRow
from cuetrack.output.track.cuefile import CueFile
from cuetrack.plan.model import Group
from cuetrack.sound.hearing.listeners import worst_listener
from cuetrack.sound.hearing.sii_tables import BANDWIDTH_DB, NORMAL_SPEECH_DB
from cuetrack.verification.room.advice import (
    LOUDEST_SPEECH_DB,
    Remedy,
    RoomAdvice,
    advise,
)
from cuetrack.verification.room.alignment import align
from cuetrack.verification.room.audibility import Audience, LevelChange, apart_db
from cuetrack.verification.room.check import near_clear, sounding_s
from cuetrack.verification.room.clock import _NEAR, Clock, _consensus
from cuetrack.verification.room.grades import (
    CLEAR_SII,
    LOST_SII,
    CallGrade,
    Following,
    PlaceGrade,
    call_grade,
    people_of,
)
from cuetrack.verification.room.heard import BANDS, HOP_MS, HOP_S, NARROW_HZ, KeptSound
from cuetrack.verification.room.in_track import cues_in_track
from cuetrack.verification.room.levels import CuePowers, measure_levels
from cuetrack.verification.room.report import (
    RecordingPosition,
    RoomReport,
    RoomRow,
    echo_sentence,
    room_lines,
)
from cuetrack.verification.room.response import Decay, Response, learn_response

CUE = CueRow(
    id="cue-1", kind="form", segment="s1", text="Sit tall.", spoken="Sit tall.",
    clip="k", start_ms=0.0, end_ms=900.0, anchor_ms=None, beat_ms=None,
)  # fmt: skip
VOICE = 10 ** ((np.asarray(NORMAL_SPEECH_DB) + BANDWIDTH_DB) / 10)
FAR_DOWN = 1e-12
levels = st.floats(-30, 30)


def cues(music_db=None, noise_db=-60.0, count=20):
    """Cues of the standard voice, with all that is like it in colour."""
    music = np.zeros(BANDS) if music_db is None else VOICE * 10 ** (music_db / 10)
    noise = VOICE * 10 ** (noise_db / 10)
    return [CuePowers(cue=CUE, speech=VOICE, music=music, noise=noise)] * count


def room(clarity_db, direct_share=0.3):
    return Decay(
        reverberation_s=1.0, error_s=0.1, fall_db=20.0, clarity_db=clarity_db,
        direct_share=direct_share,
    )  # fmt: skip


def advice_for(*, music_db=None, noise_db=-60.0, clarity_db=30.0, level=65.0):
    group = Group(age=75, level_db_spl=level)
    audience = Audience(cues(music_db, noise_db), room(clarity_db), group)
    return advise(audience, level, has_music=music_db is not None)


def unclear(following):
    """How often a call is hard or lost, over all people; lost counts twice."""
    return sum(one.hard + 2 * one.lost for one in following)


@pytest.mark.parametrize(
    ("room_of", "remedy"),
    [
        ({}, Remedy.FINE),
        ({"music_db": -30.0}, Remedy.FINE),
        ({"music_db": -3.0}, Remedy.MUSIC_DOWN),
        ({"noise_db": 0.0}, Remedy.LOUDSPEAKER_UP),
        ({"level": 50.0}, Remedy.LOUDSPEAKER_UP),
        ({"clarity_db": 1.0}, Remedy.MOVE_CLOSER),
        ({"clarity_db": -6.0}, Remedy.SECOND_LOUDSPEAKER),
        ({"music_db": -3.0, "noise_db": -15.0}, Remedy.MUSIC_DOWN),
        ({"music_db": -25.0, "noise_db": -1.0}, Remedy.LOUDSPEAKER_UP),
    ],
)
def test_each_cause_has_its_remedy(room_of, remedy):
    """Whatever alone makes the cues lost is what the advice turns."""
    said = advice_for(**room_of)
    assert said.remedy is remedy
    assert {one.calls for one in said.now} == {20}
    assert (said.grade is PlaceGrade.GOOD) == (remedy is Remedy.FINE)
    assert unclear(said.then) < unclear(said.now) or remedy is Remedy.FINE


def test_the_smallest_dose_is_said():
    """Music 3 dB louder needs 3 dB more; a dose below 3 dB is never said."""
    least, first, second = (
        advice_for(music_db=music).amount_db for music in (-3.0, 0.0, 3.0)
    )
    assert second == first + 3
    assert least == 3
    assert "3 dB down" in advice_for(music_db=-3.0).sentence


def test_the_loudspeaker_is_not_turned_up_beyond_80_db():
    """Where even that is too little the advice says what remains lost."""
    said = advice_for(noise_db=12.0, level=74.0)
    assert said.remedy is Remedy.LOUDSPEAKER_UP
    assert 74.0 + said.amount_db <= LOUDEST_SPEECH_DB
    assert said.then[-1].lost == said.now[-1].lost == 20
    assert "hearing loop" in said.sentence


def test_a_quieter_room_is_named_where_noise_is_what_hides():
    """Noise alone is the cause: down or voice up is one. A faint voice needs more."""
    said = advice_for(noise_db=0.0)
    assert said.amount_db <= said.quieter_db <= said.amount_db + 3
    assert f"or make the room about {said.quieter_db} dB quieter" in said.sentence
    assert advice_for(noise_db=float(-said.quieter_db)).now[0].words == "clear"
    faint = advice_for(level=50.0)
    assert faint.remedy is Remedy.LOUDSPEAKER_UP
    assert "quieter" not in faint.sentence
    assert "quieter" not in advice_for(music_db=-3.0).sentence


@given(noise=levels, by=st.floats(0, 20))
def test_a_quieter_room_never_harms(noise, by):
    """And so many dB off the noise are worth no more than so many on the voice."""
    audience = Audience(cues(None, noise, count=1), room(9.0), Group(level_db_spl=55))
    quieter = audience.indices(LevelChange(noise_db=-by))
    assert np.all(quieter >= audience.indices() - 1e-12)


def test_where_no_step_helps_a_loop_is_the_answer():
    """In noise far above a voice that cannot be louder, nothing in the room does."""
    said = advice_for(noise_db=25.0, level=80.0)
    assert said.remedy is Remedy.HEARING_LOOP
    assert said.then == said.now
    assert "No single step" in said.sentence
    assert "telecoil" in said.sentence


def test_a_dose_that_cannot_cure_is_as_large_as_it_still_helps():
    """Where the echo keeps all lost, the music goes down by more than a little."""
    said = advice_for(music_db=6.0, clarity_db=-1.0)
    assert said.remedy is Remedy.MUSIC_DOWN
    assert said.then[-1].clear_share == 0
    assert said.amount_db > 10


@given(music=levels, noise=levels, clarity=st.floats(-10, 30), by=st.floats(0, 20))
def test_what_helps_never_harms(music, noise, clarity, by):
    """Less music, or less late sound, never lowers what anyone follows."""
    audience = Audience(cues(music, noise, count=1), room(clarity), Group())
    now = audience.indices() - 1e-12
    assert np.all(audience.indices(LevelChange(music_db=-by)) >= now)
    assert np.all(audience.indices(LevelChange(distance=1 / (1 + by))) >= now)
    assert np.all(audience.indices(LevelChange(echo=False)) >= now)


def test_no_room_is_no_echo():
    """Without a decay the index with echo is that without."""
    audience = Audience(cues(noise_db=-5.0), None, Group())
    assert np.array_equal(audience.indices(), audience.indices(LevelChange(echo=False)))


def test_levels_are_weighted_as_ears_weigh():
    """The weights are those of IEC 61672-1 E.6 to 0.1 dB, and nothing has no level."""
    hz = 1000 * 10 ** (np.arange(-8, 10) / 10)
    one = np.ones(BANDS)
    assert apart_db(one, np.zeros(BANDS)) is None
    for band, frequency in enumerate(hz):
        only = np.where(np.arange(BANDS) == band, 1.0, FAR_DOWN)
        at_1_khz = np.where(np.arange(BANDS) == 8, 1.0, FAR_DOWN)
        assert apart_db(only, at_1_khz) == pytest.approx(a_weight(frequency), abs=0.1)


def a_weight(hz):
    """IEC 61672-1, annex E, formula E.6 (from memory), 0 dB at 1 kHz."""

    def gain(f):
        f = f**2
        low = np.sqrt((f + 107.65265**2) * (f + 737.86223**2))
        return 12194.217**2 * f**2 / ((f + 20.598997**2) * (f + 12194.217**2) * low)

    return 20 * np.log10(gain(hz) / gain(1000.0))


@given(
    start_s=st.floats(-0.03, 0.03),
    slope_ppm=st.floats(-200, 200),
    seed=st.integers(0, 1000),
)
def test_the_clock_is_the_line_that_most_delays_agree_on(start_s, slope_ppm, seed):
    """With more than half of all delays at random the line is found all the same.

    Strays that lie within the 3 ms of the line pull at it: of 25 000 drawn cases half
    are within 0.12 ms, 99 % within 0.46 ms, and the worst is 1.05 ms off.
    """
    draw = np.random.default_rng(seed)
    times = np.sort(draw.uniform(0, 100, 120))
    late = start_s + slope_ppm * 1e-6 * times
    late += draw.normal(0, 1e-4, times.size)
    stray = draw.random(times.size) < 0.55
    late[stray] = draw.uniform(-0.06, 0.06, np.count_nonzero(stray))
    clock = _consensus(times, late, _NEAR)
    found = clock.start_s + (clock.rate - 1) * np.array([0.0, 100.0])
    wanted = start_s + slope_ppm * 1e-6 * np.array([0.0, 100.0])
    assert np.abs(found - wanted).max() < 1.5e-3
    assert clock.agreeing >= np.count_nonzero(~stray)


@pytest.mark.parametrize("late_s", [0.0, 0.1, -0.03, 1 / 3])
def test_one_delay_is_a_clock_that_runs_true(late_s):
    """A single window agrees with itself to the last bit, and tells of no drift."""
    clock = _consensus(np.array([7.0]), np.array([late_s]), _NEAR)
    assert (clock.windows, clock.agreeing, clock.spread_s) == (1, 1, 0.0)
    assert clock.start_s + 7 * clock.rate == pytest.approx(7 + late_s)
    assert (clock.first_s, clock.last_s) == (7.0, 9.0)


def test_no_delays_are_no_clock():
    """Nothing measured agrees with nothing."""
    clock = _consensus(np.empty(0), np.empty(0), _NEAR)
    assert clock.windows == clock.agreeing == 0
    assert clock.share == 0


@given(
    late_hops=st.integers(-1500, 1500),
    drift_ppm=st.floats(-200, 200),
    seed=st.integers(0, 1000),
)
def test_the_rough_place_is_found_to_two_hops(late_hops, drift_ppm, seed):
    """Band powers shifted, drifted and half drowned are placed to 40 ms."""
    draw = np.random.default_rng(seed)
    track = np.repeat(draw.exponential(size=(750, BANDS)), 4, axis=0)
    places = (np.arange(3000) - late_hops) / (1 + drift_ppm * 1e-6)
    inside = (places >= 0) & (places < 2999)
    heard = draw.exponential(size=(3000, BANDS))
    heard[inside] += track[places[inside].astype(int)]
    found = align(track.astype(np.float32), heard.astype(np.float32))
    assert found.start_s == pytest.approx(late_hops * HOP_S, abs=0.04)
    assert found.score > 8


def test_unrelated_powers_have_no_clear_place():
    """What never went together does not look as if it did."""
    draw = np.random.default_rng(4)
    one, two = (draw.exponential(size=(3000, BANDS)) for _ in range(2))
    found = align(one.astype(np.float32), two.astype(np.float32))
    assert found.score < 7
    assert found.rival > 0.7


def test_echo_is_said_in_words():
    """A lively room, a good one, one that is not known and one that is none differ."""
    sentences = {
        echo_sentence(room(-3.0)),
        echo_sentence(room(2.0)),
        echo_sentence(room(9.0)),
        echo_sentence(None),
        echo_sentence(None, dry=True),
    }
    assert len(sentences) == 5
    assert "poor for speech" in echo_sentence(room(-3.0))
    assert "excellent for speech" in echo_sentence(room(9.0))
    assert "+-0.1 s" in echo_sentence(room(2.0))
    exact = replace(room(2.0), error_s=0.01)
    assert echo_sentence(exact) == echo_sentence(room(2.0))


def kept_sound(narrow=(), powers=((0.0,) * BANDS,), channels=1):
    return KeptSound(
        narrow=np.asarray(narrow, np.float16),
        powers=np.asarray(powers, np.float32),
        rate_hz=48_000,
        channels=channels,
        peak=0.5,
        clipped=0,
    )


def answered(track, reverberation_s, noise_db):
    """Return a track with the answer of a diffuse room, and noise beside it."""
    draw = np.random.default_rng(2)
    seconds = np.arange(NARROW_HZ) / NARROW_HZ
    answer = draw.standard_normal(NARROW_HZ) * 10 ** (-3 * seconds / reverberation_s)
    answer /= 2 * np.linalg.norm(answer)
    noise = track.std() * 10 ** (noise_db / 20) * draw.standard_normal(track.size)
    return fftconvolve(track, answer)[: track.size] + noise


HISS = 0.1 * np.random.default_rng(1).standard_normal(30 * NARROW_HZ)
RUNNING = Clock(start_s=0.0, rate=1.0, first_s=0.0, last_s=60.0)


@pytest.mark.parametrize(
    ("reverberation_s", "noise_db", "told"),
    [
        (0.3, -20, True),
        (1.0, -20, True),
        (0.05, -60, False),
        (1.0, 0, False),
    ],
    ids=["room", "hall", "over in a moment", "hidden by noise"],
)
def test_a_reverberation_time_is_told_where_one_is_seen(
    reverberation_s, noise_db, told
):
    """Right to 10 % where the fall is clear; none where it is too quick or hidden."""
    heard = kept_sound(answered(HISS, reverberation_s, noise_db))
    decay = learn_response(kept_sound(HISS), heard, RUNNING).decay
    assert (decay is not None) == told
    if decay is not None:
        assert decay.reverberation_s == pytest.approx(reverberation_s, rel=0.1)


def test_a_room_is_learnt_from_one_stretch_of_sound():
    """A track that is silent but for its beginning tells what it can."""
    track = HISS[: 8 * NARROW_HZ].copy()
    track[round(3.5 * NARROW_HZ) :] = 0
    heard = kept_sound(answered(track, 0.3, -40))
    decay = learn_response(kept_sound(track), heard, RUNNING).decay
    assert decay.reverberation_s == pytest.approx(0.3, rel=0.15)


def sheet_of(*rows):
    return CueFile(
        title="Larkfield Hall", language="en", sample_rate=48_000, duration_ms=60_000,
        voice="tones", segments=(), cues=rows, tones=(), left_out=(),
    )  # fmt: skip


def test_music_under_speech_without_a_pause_is_what_its_gaps_let_through():
    """Where cues leave no moment beside them, the quietest tenth within counts."""
    rows = [
        structs.replace(
            CUE, id=f"cue-{n}", start_ms=1000.0 * n, end_ms=1000.0 * (n + 1)
        )
        for n in range(3)
    ]
    powers = np.full((3000 // HOP_MS, BANDS), 10.0, np.float32)
    powers[::5] = 1.0
    found = cues_in_track(powers, rows, sheet_of(*rows), has_bed=True)
    assert found[1].bed == pytest.approx(np.ones(BANDS))
    mean = 0.8 * 10 + 0.2 * 1
    assert found[1].speech == pytest.approx(np.full(BANDS, mean - 1), rel=0.03)


def test_a_track_that_stands_out_nowhere_has_no_cues_to_judge():
    """In an even hum there is nothing of which it could be told how far it carries."""
    draw = np.random.default_rng(3)
    track = kept_sound(powers=draw.exponential(size=(1500, BANDS)))
    hum = kept_sound(powers=np.full((1500, BANDS), 1e-3))
    response = Response(direct_s=0.0, kernel=(1.0,), decay=None)
    found = measure_levels(track, hum, RUNNING, response, sheet_of(CUE))
    assert found.cues == ()
    assert found.clear_hz == found.recorded_hz == 0


CLEAR = (0.9, 0.6, 0.5)


def row_of(*, plain, echoing):
    return RoomRow(
        id="cue-1", kind="form", text="Sit tall.", start_ms=0.0,
        over_music_db=None, over_noise_db=0.0, over_background_db=0.0,
        sii=plain, sii_with_echo=echoing,
    )  # fmt: skip


def report_of(rows, advice, decay=None, to_ms=60_000):
    return RoomReport(
        recording="hall.wav", track="class.mp3", title="Larkfield Hall", age=75,
        level_db_spl=65.0, decay=decay, dry=False, rows=rows, notes=(), advice=advice,
        place=RecordingPosition(
            start_ms=0, drift_ppm=0, spread_ms=0, agreement=1, from_ms=0, to_ms=to_ms
        ),
    )  # fmt: skip


def following(people, hard, lost, calls=30):
    return Following(people=people, calls=calls, hard=hard, lost=lost)


@pytest.mark.parametrize(
    ("hard", "lost", "words"),
    [
        (0, 0, "clear"),
        (1, 0, "clear but for 1 call of 30"),
        (10, 0, "every third call hard"),
        (10, 3, "every third call hard, every tenth lost"),
        (0, 15, "every second call lost"),
        (10, 20, "every third call hard, most lost"),
        (30, 0, "every call hard"),
    ],
)
def test_shares_are_said_in_words(hard, lost, words):
    """How many calls are hard, and how many are lost, is said as people say it."""
    assert following("all", hard, lost).words == words


@pytest.mark.parametrize(
    ("unclear_calls", "grade", "passed"),
    [
        ((0, 0, 0), PlaceGrade.GOOD, True),
        ((0, 1, 9), PlaceGrade.FAIR, True),
        ((1, 4, 30), PlaceGrade.POOR, False),
        ((30, 30, 30), PlaceGrade.POOR, False),
    ],
)
def test_a_grade_says_who_follows_nearly_all_calls(unclear_calls, grade, passed):
    """Good is for all three, fair for two, poor is hard for the third as well."""
    names = ("people without hearing loss", "half of the people of 75", "the quarter")
    now = tuple(map(following, names, unclear_calls, (0, 0, 0)))
    advice = RoomAdvice(remedy=Remedy.HEARING_LOOP, now=now, then=now)
    report = report_of((), advice, room(9.0))
    assert (advice.grade, report.passed) == (grade, passed)
    assert report.headline.startswith(f"{grade.capitalize()} at this place. People wit")
    assert all(one.words in report.headline for one in now)
    assert "telecoil" in report.headline


def test_what_is_known_in_part_is_graded_in_part():
    """A place whose echo nobody heard is never passed; a short stretch says so."""
    fine = advice_for()
    unknown = report_of((), fine)
    assert not unknown.passed
    assert unknown.headline.startswith("Without its echo, which could not be told: go")
    assert "Half of the people of 75: at best clear." in unknown.headline
    assert "fine cannot be told" in unknown.headline
    assert "fine as it is" not in unknown.headline
    louder = report_of((row_of(plain=CLEAR, echoing=CLEAR),), advice_for(level=50.0))
    assert louder.advice_sentence.endswith("The echo may take some of that.")
    assert any("if there were no echo" in line for line in room_lines(louder))
    short = report_of((), fine, room(9.0), to_ms=20_000)
    assert short.headline.startswith("As far as 20 s can tell: good at this place.")
    assert short.passed
    assert "Nothing is amiss in what was heard" in short.headline
    assert "fine as it is" not in short.headline


def test_what_ears_follow_is_claimed_for_no_worse_ears():
    """The quarter begins at the 75th percentile: clear there is clear for the rest.

    What is not clear there is so for the quarter; ISO 7029 gives the ears in between.
    """
    fine, echoing = advice_for(), advice_for(clarity_db=1.0)
    assert fine.now[-1].people == "three in four people of 75"
    assert echoing.now[-1].people == "the quarter who hear worst"
    assert (
        "Then, for three in four people of 75: clear (now, for the quarter who h"
        in (echoing.sentence)
    )
    fractiles = [worst_listener(75, share).threshold_db_hl for share in (0.75, 0.9)]
    assert np.all(people_of(75)[-1].threshold_db_hl == np.asarray(fractiles[0]))
    assert np.all(np.asarray(fractiles[1]) > fractiles[0])


@pytest.mark.parametrize(
    ("drift_ppm", "words"),
    [
        (0.3, "its clock runs true."),
        (-1.9, "its clock runs true."),
        (50.0, "its clock runs 50 millionths too fast."),
        (-12.0, "its clock runs 12 millionths too slow."),
    ],
)
def test_a_clock_is_told_as_finely_as_it_is_known(drift_ppm, words):
    """A millionth is not worth a word."""
    report = report_of((row_of(plain=CLEAR, echoing=CLEAR),), advice_for(), room(9.0))
    drifting = replace(report, place=replace(report.place, drift_ppm=drift_ppm))
    assert any(line.endswith(words) for line in room_lines(drifting))


def test_nought_has_no_sign():
    """As loud as the noise is 0 dB, from both sides."""
    row = replace(row_of(plain=CLEAR, echoing=CLEAR), over_noise_db=-0.3)
    text = "\n".join(room_lines(report_of((row,), advice_for(), room(9.0))))
    assert "Speech stands 0 dB over the noise" in text
    assert "-0 dB" not in text


def test_a_place_at_the_edge_is_told_as_one():
    """Where a hundredth of the index parts clear from hard, nobody is sure."""
    edge = next(
        clarity_db
        for clarity_db in np.arange(0.0, 9.0, 0.25)
        if audience_in(clarity_db).indices()[0, 2] > CLEAR_SII
    )
    assert "For the quarter who hear worst most calls lie at the edge" in " ".join(
        near_clear(audience_in(edge))
    )
    assert not list(near_clear(audience_in(30.0)))


def audience_in(clarity_db):
    return Audience(cues(), room(clarity_db), Group(age=75))


def test_silence_of_the_track_is_not_missed():
    """Ten seconds sound, ten do not; what is quieter by 30 dB is silence."""
    powers = np.ones((1000, BANDS))
    powers[500:] = 1e-4
    track = kept_sound(powers=powers)
    assert sounding_s(track, 0.0, 20.0) == pytest.approx(10.0)
    assert sounding_s(track, 5.0, 12.0) == pytest.approx(5.0)
    assert sounding_s(track, 3.0, -1.0) == 0


def test_where_nobody_follows_the_place_is_bad():
    """Lost without hearing loss is worse than hard."""
    now = tuple(following(name, 0, 30) for name in ("best", "half", "worst"))
    advice = RoomAdvice(remedy=Remedy.MUSIC_DOWN, amount_db=9, now=now, then=now)
    assert advice.grade is PlaceGrade.BAD
    assert "no call becomes clear" in advice.sentence


@pytest.mark.parametrize(("share", "distance"), [(0.1, 0.5), (0.02, 0.25)])
def test_coming_nearer_raises_the_direct_sound_alone(share, distance):
    """Early over late rises as the direct sound does, the room's own share stays."""
    late = 1 / (1 + 10**-0.3)
    direct = share / distance**2
    nearer = 10 * np.log10((1 - late - share + direct) / late)
    audience = Audience(cues(count=1), room(-3.0, share), Group())
    there = Audience(cues(count=1), room(nearer, 0.0), Group())
    now = audience.indices(LevelChange(distance=distance))
    assert now == pytest.approx(there.indices())


@pytest.mark.parametrize("share", [0.02, 0.1])
def test_a_second_loudspeaker_leaves_the_room_the_first_one(share):
    """Two alike fill the room twice: energies added by hand, near and far.

    Of the near one 1/3 comes late, more than 50 ms after its direct sound, which is 16
    times as strong. The far one comes 30 ms later, 1.8 dB of an echo of 1 s: of it
    1/3 * 10 ** .18 is late.
    """
    audience = Audience(cues(count=1), room(10 * np.log10(2), share), Group())
    late = (1 + 10**0.18) / 3
    early = 2 - late + 15 * share
    there = Audience(cues(count=1), room(10 * np.log10(early / late)), Group())
    now = audience.indices(LevelChange(distance=1 / 4, second=True))
    assert now == pytest.approx(there.indices())
    alone = audience.indices(LevelChange(distance=1 / 4))
    assert np.all(now < alone)


def test_a_call_that_only_the_echo_takes_is_marked():
    """Hard without echo is not blurred; clear without it and hard with it is."""
    both, clear, low = (0.9, 0.5, 0.4), (0.9, 0.5, 0.5), (0.9, 0.4, 0.2)
    assert row_of(plain=clear, echoing=low).blurred
    assert not row_of(plain=both, echoing=both).blurred
    row = row_of(plain=clear, echoing=low)
    assert row.grades == (CallGrade.CLEAR, CallGrade.HARD, CallGrade.LOST)
    lines = room_lines(report_of((row,), advice_for()))
    assert any("clear / hard / lost" in line and "(echo)" in line for line in lines)


@given(index=st.floats(0, 1), more=st.floats(0, 1))
def test_a_higher_index_is_never_a_worse_grade(index, more):
    """Grades go with the index, and each of them is given somewhere."""
    order = [CallGrade.LOST, CallGrade.HARD, CallGrade.CLEAR]
    assert order.index(call_grade(index)) <= order.index(call_grade(index + more))
    assert [call_grade(x) for x in (0.0, LOST_SII, CLEAR_SII)] == order
