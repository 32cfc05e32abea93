"""Every threshold of the review, with where it comes from. Times in ms.

"Common practice" means that instructors work so and no study was found. The
guidelines are named in full where a rule gives its source, in ``rules.yaml``.
"""

from __future__ import annotations

from typing import Final

_SECOND = 1_000
_MINUTE = 60_000

# --- the shape of a class ---------------------------------------------------------

WARM_UP_LEAST_MS: Final = 5 * _MINUTE
"""RACGP HANDI, exercise rehabilitation: 5 to 10 minutes."""
WARM_UP_COMFORTABLE_MS: Final = 10 * _MINUTE
"""The upper end of the same range."""
WARM_UP_HEART_MS: Final = 15 * _MINUTE
"""SIGN 2002 and ACPICR 2003, in Thow 2006: at least 15 minutes, graded."""
COOL_DOWN_LEAST_MS: Final = 5 * _MINUTE
"""RACGP HANDI; Ottawa Heart Institute: 5 to 10 minutes."""
SHORT_CLASS_MS: Final = 15 * _MINUTE
GENTLE_EFFORT: Final = 5
"""Own thresholds: what is so short is kept below the upper end of moderate effort."""
EASY_PART_SHARE: Final = 0.25
"""Common practice: a class under twenty minutes warms up, and cools down, for a quarter
of its time; moderate effort at most, and no heart that needs longer."""
ALMOST: Final = 0.8
"""Own threshold: what is short by less than a fifth is a note and no error."""
COOL_DOWN_HEART_MS: Final = 10 * _MINUTE
"""Thow 2006: at least 10 minutes, easing off."""
COOL_DOWN_COMFORTABLE_MS: Final = 10 * _MINUTE
"""The upper end of the range for everybody."""
OBSERVATION_MS: Final = 10 * _MINUTE
"""ACPICR 2003, in Thow 2006, asks for 15; common practice elsewhere 10 to 15."""
GRADED_START_MS: Final = 2 * _MINUTE
GRADED_START_HEART_MS: Final = 5 * _MINUTE
"""Thow 2006: effort rises step by step, for hearts over the whole of a warm-up; two
minutes of easy movement for others are common practice."""
EASING_LEAST_MS: Final = _MINUTE
EASING_AFTER_MODERATE_MS: Final = 30 * _SECOND
"""Common practice: one to two minutes of moving feet before stillness; half a minute
after work that was moderate, where no heart or pressure asks for more."""
STILL_REST_MS: Final = 45 * _SECOND
"""Common practice, after Thow 2006: feet move in rests longer than this."""
FEET_TOLD_WITHIN_MS: Final = 3 * _MINUTE
"""Common practice: who was told so lately keeps it in mind."""
LONGEST_WITHOUT_BREAK_MS: Final = 10 * _MINUTE
BREAK_LEAST_MS: Final = _MINUTE
"""Both common practice: a minute's break about every ten minutes."""
LONGEST_CLASS_MS: Final = 60 * _MINUTE
"""Common practice: community classes last 30 to 60 minutes."""
STATED_LENGTH_SLACK_MS: Final = _SECOND
"""Arithmetic: what a sum of whole seconds may differ by."""

# --- work and rest ---------------------------------------------------------------

NEW_GROUP_RATIO: Final = 1.0
"""BMC Geriatr 2022 worked 60 s and rested 90; common practice: work <= rest."""
STEADY_GROUP_RATIO: Final = 2.0
HARD_RATIO: Final = 3.0
"""Both common practice: 40/20 after several weeks, 45/15 with a way out."""
LONGEST_HARD_WORK_MS: Final = _MINUTE
"""Int J Exerc Sports Med 9:256, subgroups: best with work of 60 s or less."""
CHANGE_REST_LEAST_MS: Final = 10 * _SECOND
"""Arithmetic at 140 words a minute: nine words fit beside count and settling."""

# --- effort, on the scale from 0 (sitting) to 10 (all out) --------------------------

HARD_EFFORT: Final = 6
"""Physical Activity Guidelines for Americans 2018: 5 to 6 is moderate."""
VIGOROUS_EFFORT: Final = 7
HIGHEST_EFFORT: Final = 8
"""The same: 7 to 8 is vigorous; above it is near the limit."""
LIGHT_EFFORT: Final = 4
"""The same: below moderate."""
EASY_EFFORT: Final = 3
"""Common practice: with so little effort nobody holds the breath or counts."""
MOST_VIGOROUS_SHARE: Final = 0.25
"""Common practice."""
FIRST_TALK_CHECK_MS: Final = 10 * _MINUTE
TALK_CHECK_EVERY_MS: Final = 15 * _MINUTE
"""Common practice, with the talk test of the guidelines above."""
COMFORTABLE_BPM: Final = 120
"""Common practice: what is slower than its music goes with every other beat."""
FASTEST_BPM: Final = 130
"""Adaptive exercise texts for seated classes: 110 to 130 beats a minute."""
MOST_FASTER: Final = 1.10
"""Cadwell, chair aerobics: 20 % faster music raised heart rate and effort."""
BEAT_LEAST_BPM: Final = 60
"""Slower movements are not done on the beat."""
COMPENDIUM_AGE: Final = 60
"""Willis and others 2024: the values are those of people of 60 and over."""

# --- safety and the body ----------------------------------------------------------

WATER_EVERY_MS: Final = 20 * _MINUTE
WATER_LATEST_MS: Final = 25 * _MINUTE
"""Senior fitness practice after ACSM figures: a sip each 15 to 20 minutes; the break
it is taken in may come a little later."""
LONGEST_STRAIN_MS: Final = 10 * _SECOND
"""Common practice: muscles hold against themselves for 10 s at most."""
OVERHEAD_MOST_MS: Final = _MINUTE
OVERHEAD_MOST_SHARE: Final = 0.25
ARMS_ONLY_MOST_MS: Final = _MINUTE
"""All three common practice."""
SIDES_MOST_APART_MS: Final = 2 * _SECOND
"""Common practice: the sides get the same time."""
SIDE_LEAD_MS: Final = 3 * _SECOND
"""Common practice: the switch is announced 3 s ahead or more."""
SAME_REGION_MOST: Final = 3
"""Common practice: after three works in a row other muscles take over."""
FEWEST_REPETITIONS: Final = 6
MOST_REPETITIONS: Final = 25
"""ACSM/AHA 2007 ask for 10 to 15; outside this band neither is near. Calves are
usually given up to 25 (common practice)."""
ALL_REGIONS_FROM_MS: Final = 20 * _MINUTE
"""Physical Activity Guidelines 2018: all major muscle groups in a session."""
HEAVIEST_KG: Final = 2.3
"""Arm curl test for older women (Rikli and Jones): the weight of a test."""
SLOW_WITH_WEIGHTS_BPM: Final = 90
"""Common practice: what is heavier than the hand is lifted, not swung to a beat."""
STRETCH_LEAST_MS: Final = 15 * _SECOND
STRETCH_MOST_MS: Final = 60 * _SECOND
"""ACSM 2021: 30 to 60 s in all for older adults; one hold may be half of it."""
STRETCH_SHARED_MOST_MS: Final = 2 * STRETCH_MOST_MS
"""Own threshold: a share of the cool-down is no length that a leader chose."""

HEAD_TURN_MOST_BPM: Final = 110
HEAD_TURN_MOST_MS: Final = _MINUTE
"""Common practice: who gets dizzy turns the head slowly, and not for long."""

# --- what is said; what depends on the language stands in its reading.yaml ----------

WORDS_A_MINUTE: Final = 140
"""A calm voice; Sutton and others 1995 found 150 to 200 comfortable."""
MOST_LONGER: Final = 1.5
"""Own threshold: a sentence a little over the advice is followed all the same."""
REST_NOT_SPOKEN_MS: Final = 6 * _SECOND
"""Arithmetic: 3 s of count, 2 s to settle, 1 s of gap."""
SETTLE_MS: Final = 2 * _SECOND
"""The word to rest; or time to settle before the next movement is told of."""
REST_STEP_MS: Final = 5 * _SECOND
"""Rests are advised in steps that a leader would write."""
LEAST_SHARE_TO_DO: Final = 1 / 3
"""Own threshold: who is told how for two thirds of the time has lost the turn."""
CHANGE_LEAD_MS: Final = 4 * _SECOND
"""Instructor texts: 8 counts ahead, which are 4 s at 120 beats a minute."""
COUNT_REACHES_MS: Final = 3_700
"""A count of three ahead of a change, its first word and its beat."""
EQUIPMENT_LEAD_MS: Final = 10 * _SECOND
EQUIPMENT_REACH_MS: Final = 120 * _SECOND
"""Common practice: 10 to 15 s to reach, lift and sit tall; not minutes before."""
MOST_SPEECH_SHARE: Final = 0.65
SPEECH_SHARE_FROM_MS: Final = 20 * _SECOND
"""Both common practice: half to two thirds of an interval at most."""
RATE_FROM_WORDS: Final = 40
"""Common practice: fewer words give no rate to speak of."""
LEAST_SEPARATION_LU: Final = 20.0
"""WCAG 2.2, 1.4.7 (AAA): background at least 20 dB under the speech."""

# --- from one week to the next -------------------------------------------------------

LARGE_STEP: Final = 0.20
MODERATE_STEP: Final = 0.10
"""Common practice; the ten-per-cent habit comes from running."""
