"""What verification can tell and what not: every limit once, with where it is from.

Measured on finished files of six formats, and re-encoded at 32 kbit/s, over beds of
our own and dense tunes, two voices: see tests/benchmarks/damages.py.
"""

from __future__ import annotations

import math

from cuetrack.sound.duck_solving import FLOOR_LU, LOSS_LIMIT
from cuetrack.times import SAMPLE_RATE_HZ, ms_from_frames
from cuetrack.verification.report import OPUS_TOLERANCE_FRAMES, TOLERANCE_FRAMES

SHORT_FRAMES = 24_000
"""Half a second: a word, whose background is measured in a handful of windows."""

COVERED_LOSS = 0.04
"""A cue is covered when what sounds with it costs more of the Speech Intelligibility
Index than this. A make promises ``LOSS_LIMIT``; honest files read up to 0.02."""

COVERED_LOSS_SHORT = 0.09
"""The same for a word; honest files at 32 kbit/s read up to 0.062."""

COVERED_LU = FLOOR_LU - 3.5
"""Or when it stands no further over what sounds with it; honest files read 8.6 LU,"""

COVERED_LEAST_LOSS = 0.005
"""and that costs half a point of clarity or more: the bass of music costs less."""

COVERED_FREE_LU = FLOOR_LU - 6.0
"""A rumble that costs nothing covers it where it stands no further over that; a make
over plucked basses reads 6 LU."""

MEAN_LOSS = LOSS_LIMIT
"""All cues together may lose no more than this on average; honest ones lose 0.008."""

MIDDLE_OVER_LU = FLOOR_LU - 1.5
"""Half of the cues stand at least so far over what sounds with them; under a tune of
square waves an honest file reads 0.9 less than a make gives."""

LOW_RATE_KBITS = 28
LOW_RATE_HOLE_MS = 120
LOW_RATE_LEVEL_DB = 4.5
LOW_RATE_LOSS = 1.75
"""A file of fewer kbit/s a channel has thrown away much of what is above 5 kHz, and
AAC at 48 kbit/s drops pieces of 110 ms of a voice under castanets: such a file may be
1 LU too quiet, only longer holes and larger differences count, and cues may lose so
many times as much."""

STEADY_FLICKER = 0.45
STEADY_SPREAD_DB = 1.5
STEADY_OVER_LU = 18.0
"""A background that hardly changes, within a cue and from cue to cue, is a noise;
told when it lies less than this under the voice. Music flickers by 0.8 and more."""

CLEAR_DB = 6.0
"""A window of 40 ms is judged where the clip stands so far over bed and error."""

CHANGED_CLEAR_DB = 9.0
"""The same for pieces that hold something else."""

HOLE_MS = 60
"""The shortest hole that is always seen where a window can be judged."""

GONE_SHARE = 0.4
"""A piece is not there when less than this of it is; honest files keep 0.57."""

CLICK_SHARE = 2.8
"""A click is told when its peak is so many times the RMS of the voice (honest files
read 2.1),"""

CLICK_CREST = 24.0
"""and so many times what else is left of the sound around it (honest files read 19,
and 28 for castanets a third as loud as a click)."""

BENT_SHARE = 0.05
"""The voice was clipped when its highest peaks come out so much lower than its other
parts, by a cubic law; honest files bend by 0.021, 1 dB of clipping by 0.048."""

FEWEST_TOPS = 10
"""or when so many tops of a channel are flat at its highest value, three samples and
more; honest files have none, 2 dB off a few peaks of voice and music 30."""

OVERSHOOT_SHARE = 10 ** (-24 / 10)
"""Where encoding has raised peaks over full scale, they distort when a player that cuts
them off takes so much of the power of 85 ms. Honest files at 24 kbit/s and more lose
up to -26 dB, far less than their encoder's error; 6 dB too loud lose -17 dB."""

HUM_DBFS = -38.0
"""A hum is told from here on. With the voice at 65 dB SPL, 50 Hz at this level is just
at the threshold of hearing (ISO 226: 44 dB)."""

HUM_CLEAR_DB = 12.0
HUM_SWING_DB = 6.0
"""It stands so far over what is beside it, and changes no more, nine tenths of the
time."""

COLOUR_DB = 3.0
"""The voice is dull or thin when its lows, 180 to 350 Hz, or its highs, 1.4 to 3.5 kHz,
come out so much weaker or stronger than its middle; honest files are within 0.4."""

LOST_LEVEL_DB = 25.0
"""A cue so far under the others is missing: of a voice at 65 dB SPL, 40 are left, about
where hearing begins for many at 75, and a bed lies some 18 dB under the voice."""

FILTER_FRAMES = SAMPLE_RATE_HZ // 500
"""A filter that dulls or thins a voice delays it by less than so much, 2 ms, which
nobody hears: where the whole voice is filtered, a cue has moved from here on."""

UNHEARD_DELAY_FRAMES = SAMPLE_RATE_HZ // 1000
"""A file that does not keep every sample may be late as a whole by less than so much,
1 ms: players differ by more, and nobody hears it. By more, the half seconds of the
band print are no longer the same."""

FILTERED_DB = 10.0
"""One cue out of its place by less than that was filtered, not moved, when its lows or
highs are so much weaker than its middle."""

WAVER_FRAMES = 2.0
"""The speed wavers when half of what is said comes so much early or late against an
even pace, 0.04 ms; honest files read 0.35 (Opus at 48 kbit/s),"""

WAVER_ALIKE = 0.35
"""and as much in its lows as in its highs, but for so small a share."""

FEWEST_DELAYS = 40
FEWEST_ANSWERED = 4
ECHO_SHARE = 0.1
"""An echo is told from a tenth of the voice on; honest files read 0.02,"""

HALL_DB = -13.0
ECHO_CLEAR_DB = 12.0
"""a hall when all that comes 20 ms after the voice and later adds up to so much, and
stands so far over what is found before it; honest files read 6."""

ALIKE_SHARE = 0.5
"""What is loud and quiet in a file correlates so well with its print when it is that
track, changed: 0.95 at another pitch, 0.6 at another speed; of other classes 0.1."""

FAINTEST_DBFS = -70.0
MOST_STRETCH = 0.15

LOW_RATE_TOP_DB = 8.0
"""What lies at 3.5 to 5.6 kHz may be so much weaker under ``LOW_RATE_KBITS``, where
Opus at 24 takes 2.3 dB; at more no further than ``COLOUR_DB``, honest files 0.4."""

GRIT_DB = 1.5
"""Sound above 5.6 kHz that is there only while the voice is loud, and this much louder
than the voice there: too few bits, or overdriven. Honest files read -3, five bits 3."""

GRIT_SHARE = 2.0
"""It is so many times what else sounds there."""

LATE_SHARE = 1.2
"""One side is late when the two fit so much better so; the voice is in the middle,"""

LATE_LEAST = 0.3
"""and by no less of what they hold: without a voice, music echoes on the other side."""

UNEVEN_DB = 9.0
"""One side is too quiet when it is so far under the other,"""

LEANING_DB = 4.0
"""or so far while the voice sounds, which is in the middle."""

OFFSET_LIMIT = 0.003
"""A mean off zero by more of full scale, nine seconds of ten, is an offset; drums
that lean to one side read 0.004 over all of a track."""

ADDED_DB = 1.0
"""Something has come to a track when half a second of half an octave of it is so much
above what hides it; honest files at higher rates than ``PRINT_KBITS`` read -2.8."""

LONE_ADDED_DB = 3.0
"""So much where neither the half seconds nor the half octaves beside it have any: of
ten thousand, an encoder's error reaches 1.7 in one."""

LOW_RATE_ADDED_DB = 4.0
"""The same of a file of fewer than ``PRINT_KBITS``."""

PRINT_KBITS = 34
"""Under so many kbit/s a channel an encoder itself adds and drops pieces of music: 28
half seconds of 4 dB and more in a harp by AAC at 24. What is all along is told."""

LOST_DB = 5.0
"""Something has gone when a band that is heard is so much weaker; honest files read
1.5. Files of fewer bits lose whole bands, and are not judged."""

LONE_LOST_DB = 8.0
"""So much where nothing beside it has gone: Opus at 48 kbit/s drops 6 dB of brass in
half a second of half an octave."""

LEVEL_AGAINST_VOICE_DB = 3.0
"""Music or tones are told when they are so much louder or weaker against the voice."""

UNHEARD_DBFS = -60.0
"""A band under this is not heard beside a voice at 65 dB SPL."""

ALL_ALONG_STEPS = 0.6
"""What has come to so many half seconds has come to all."""

ALL_ALONG_SHARE = 0.9
STEADY_SWING_DB = 1.5
"""What sounds in so much of the gaps sounds all along; a noise swings by no more."""

_IN_WORDS = """\
What verify tells of a finished file, measured in six formats, down to MP3 at
32 kbit/s, over music as a make lowers it:

  time      A cue or tone off by more than {frames:g} frames of 48 kHz ({opus:g} in
            Opus, whose layer for speech works at 16 kHz). It is looked for
            within 2 s of its place; in the whole file when four are missing.
            Under {delay:g} ms by which all are off is only noted in MP3, M4A, Ogg
            and Opus.
  holes     Nothing for {hole:g} ms or longer, where the voice stands {clear:g} dB
            clear of music and encoding: half to three quarters of all that is
            said, and the report gives the share. Anywhere, where there is
            less sound of any kind than the voice alone has.
  changes   Another sound inside a word, where the voice stands {changed:g} dB clear.
  clicks    Peaks {click:g} times the level of the voice, inside a cue.
  clipping  From about 1 dB off the highest peaks of the voice on. Where only
            single peaks of voice and music together were cut, it is told from
            {tops} on, and only of WAV, FLAC and AIFF: encoding rounds them.
  peaks     Over -0.5 dBTP; where encoding may have raised them (MP3, M4A, Ogg,
            Opus), only when a player that cuts off what is over full scale
            takes more than {over_share:g} dB of 85 ms.
  cover     What sounds with a cue costs those of 75 who hear worse more than {cover:g}
            of 100 points of clarity ({short:g} of a word under half a second), or
            {mean:g} on average; or half of the cues stand less than {over:g} LU over
            it, or one less than {alone:g} LU ({free:g} both where it costs nothing).
  noise     A steady one less than {steady:g} LU under the voice; in a file of one
            channel, whatever is over -60 dBFS between the cues.
  hum       Of the mains, 50 or 60 Hz or twice that, from {hum:g} dBFS on.
  colour    Lows or highs of the voice {colour:g} dB weaker or stronger than its
            middle, 180 to 350 Hz and 1.4 to 5.6 kHz (over 3.5 kHz {top:g} dB under
            {rate:g} kbit/s a channel). What filtered it delays it by a part of a
            millisecond: then a cue has moved from {filter:g} ms on.
  coarse    Five bits and fewer, where no louder music hides it.
  echo      What is said coming again 20 ms to 0.5 s later, {echo:.0%} as loud and
            more; a hall from {hall:g} dB under the voice on.
  sides     One silent, also only in a stretch with a cue, turned, {uneven:g} dB
            quieter ({middle:g} where the voice sounds alone), or half a millisecond
            late.
  added     By the band print a make leaves in the cue sheet: half a second
            that is {added:g} dB over what hides it in half an octave ({lone:g} where
            no other half second or half octave beside it has any), from
            {floor:g} dBFS on (lows from what a quiet room hides), to 11 kHz, also
            between the cues, under music: a sound, a cue, a noise or other
            music that the track did not have.
  lost      By the same: a band, 125 Hz to 5.7 kHz, that is {lost:g} dB weaker
            ({gone:g} in one place alone).
  balance   By the same: music or tones {balance:g} dB louder or quieter against
            the voice, and music that is not there at all.
  stretch   Four cues and tones and more that are all as much softer or louder.
  voice     By the same print: that a file is as loud and soft as its track, but
            is said by another voice, or by none.
  offset    More than {offset:g} of full scale.
  speed     From 0.01 % on, up to 1 %; up to 15 % where the length tells it. One
            that wavers, when half of what is said comes {waver:.2g} ms early or late.

Under {rate:g} kbit/s a channel, encoding itself does harm: there holes count from
{long:g} ms on, cover from {times:g} times as much, and the file may be 1 LU too
quiet; at any rate it may read less where only what lies beside speech was lost.
Under {few:g} kbit/s a channel only what was added all along is told, from {low:g} dB
on, and nothing of what was lost.

What it cannot tell: a short sound that loud music in the same half octave
hides; a loudness that wavers faster than words; sides exchanged, or music that
lost its width; which music it should be, and what sounds between the cues over
it, when the cue sheet is from before there was a band print; faults the music
had when the track was made; damage in the pieces of speech that stand less
clear than said above.
"""


def limit_lines() -> list[str]:
    """Return in plain words what verification can tell, and what it cannot."""
    return _IN_WORDS.format(
        frames=TOLERANCE_FRAMES,
        opus=OPUS_TOLERANCE_FRAMES,
        hole=HOLE_MS,
        clear=CLEAR_DB,
        changed=CHANGED_CLEAR_DB,
        click=CLICK_SHARE,
        tops=FEWEST_TOPS,
        over_share=round(10 * math.log10(OVERSHOOT_SHARE)),
        cover=COVERED_LOSS * 100,
        short=COVERED_LOSS_SHORT * 100,
        mean=MEAN_LOSS * 100,
        over=MIDDLE_OVER_LU,
        alone=COVERED_LU,
        free=COVERED_FREE_LU,
        steady=STEADY_OVER_LU,
        offset=OFFSET_LIMIT,
        hum=HUM_DBFS,
        rate=LOW_RATE_KBITS,
        long=LOW_RATE_HOLE_MS,
        times=LOW_RATE_LOSS,
        colour=COLOUR_DB,
        top=LOW_RATE_TOP_DB,
        echo=ECHO_SHARE,
        hall=-HALL_DB,
        waver=WAVER_FRAMES * ms_from_frames(1),
        delay=ms_from_frames(UNHEARD_DELAY_FRAMES),
        filter=ms_from_frames(FILTER_FRAMES),
        uneven=UNEVEN_DB,
        middle=LEANING_DB,
        added=ADDED_DB,
        lone=LONE_ADDED_DB,
        floor=UNHEARD_DBFS,
        lost=LOST_DB,
        gone=LONE_LOST_DB,
        balance=LEVEL_AGAINST_VOICE_DB,
        low=LOW_RATE_ADDED_DB,
        few=PRINT_KBITS,
    ).splitlines()
