"""An independent ear on finished files: pocketsphinx with its own English model.

The recogniser (CMU Sphinx, its "en-us" acoustic model and CMU pronouncing
dictionary, both shipped in the ``pocketsphinx`` package) shares nothing with
the synthesis, the mix or the matched filters.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from cuetrack.speech.speaker import StoredSpeaker
from cuetrack.speech.store import ClipStore
from cuetrack.speech.voices import voice_named
from cuetrack.times import frames_from_ms
from cuetrack.verification import verify_track
from cuetrack.verification.listening import listen, listening_lines
from tests.verification.tracks import COUNT, build, music, write

pytest.importorskip(
    "pocketsphinx",
    reason='pip install ".[listen]" brings the recogniser, up to Python 3.13',
)

pytestmark = pytest.mark.outside

TEXTS = (
    "Sit tall, feet flat on the floor.",
    "Next: heel digs.",
    "Watch first, then join in.",
    "Shoulders down.",
    "Breathe out as you push.",
    "Halfway.",
    "Fifteen seconds left.",
    "Ten seconds.",
    "Stop and rest.",
    "Third of six.",
    "Last one before the recovery.",
    "Change sides.",
    "Put your weights down.",
    "Keep your feet moving.",
    "Stand up slowly, and hold on to the chair.",
    "Thank you for coming. See you next week.",
)


@pytest.fixture(scope="module")
def natural(tmp_path_factory):
    """A class of a minute said by the neural voice, three counts in it."""
    store = ClipStore(tmp_path_factory.mktemp("clips"))
    speaker = StoredSpeaker(voice_named("joe"), store)
    clips = speaker.speak([*TEXTS, *COUNT])
    at_ms, texts = 400, []
    for number, text in enumerate(TEXTS):
        clip = clips[text]
        texts.append((at_ms, text))
        at_ms += (clip.speech_end - clip.speech_start) // 48 + 900
        if number % 5 == 4:
            texts += [(at_ms + 1000 * count, word) for count, word in enumerate(COUNT)]
            at_ms += 3200
    return build(tuple(texts), duration_ms=at_ms, speaker=speaker, counted=COUNT)


@pytest.fixture(scope="module")
def over_music(natural):
    """The sound of that class with music 12 dB below the speech."""
    bed = music(frames_from_ms(natural.sheet.duration_ms), 2, level_db=-12)
    return replace(natural, bed=bed).sound() / 4


def test_phrases_are_recognised_over_music(tmp_path, natural, over_music):
    """At least 95 % are recognised among decoys, music 12 dB below the speech."""
    report = listen(write(tmp_path / "class.mp3", over_music), natural.sheet)
    assert report.judged == len(TEXTS) + 3
    assert report.share is not None
    assert report.share >= 0.95, listening_lines(report)


def test_a_phrase_in_the_place_of_another_is_not_taken_for_it(tmp_path, natural):
    """Both halves of a swap are heard as what they are."""
    said = [row.text for row in natural.sheet.cues]
    swapped = natural.swap(said.index("Ten seconds."), said.index("Third of six."))
    path = write(tmp_path / "class.wav", swapped.sound() / 4)
    report = listen(path, natural.sheet)
    assert {row.spoken: row.heard for row in report.rows if not row.right} == {
        "Ten seconds.": "third of six",
        "Third of six.": "ten seconds",
    }


@pytest.mark.parametrize("suffix", ["wav", "flac", "mp3", "ogg"])
def test_natural_speech_is_measured_within_two_frames(
    tmp_path, natural, over_music, suffix
):
    """Every cue said by the neural voice is found on its frame, over music.

    So loud a music covers some words, which is told, and changes no time.
    """
    path = write(tmp_path / f"class.{suffix}", over_music)
    report = verify_track(path, natural.sheet, natural.shelf)
    errors = [row.error_frames for row in report.rows]
    assert all(error is not None and abs(error) <= 2 for error in errors)
    assert {row.verdict for row in report.rows} <= {"on time", "covered"}
