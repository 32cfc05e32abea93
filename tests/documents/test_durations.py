"""Times are read as people write them, to the whole millisecond."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cuetrack.documents.durations import ends_in_time, parse_duration
from cuetrack.plan.lengths import share_out
from cuetrack.times import clock, duration


@pytest.mark.parametrize(
    ("text", "ms"),
    [
        ("45 s", 45_000),
        ("45s", 45_000),
        ("45 sec", 45_000),
        ("45 Seconds", 45_000),
        ("1 min 30 s", 90_000),
        ("1min30s", 90_000),
        ("1 min, 30 s", 90_000),
        ("1 minute and 30 seconds", 90_000),
        ("1 min", 60_000),
        ("1.5 min", 90_000),
        ("1,5 min", 90_000),
        ("1:30", 90_000),
        ("0:45", 45_000),
        ("0:45.5", 45_500),
        ("90:00", 5_400_000),
        ("1:02:03", 3_723_000),
        ("1 h 2 min 3 s", 3_723_000),
        ("90", 90_000),
        ("08", 8_000),
        ("1_000", 1_000_000),
        ("45.5 s", 45_500),
        ("500 ms", 500),
        ("0.0005 s", 1),
        ("  2   min ", 120_000),
        ("0", 0),
    ],
)
def test_every_usual_form_is_understood(text, ms):
    """What a leader writes means what she means by it."""
    assert parse_duration(text) == ms


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is not a time"),
        ("soon", "is not a time"),
        ("-5 s", "is negative"),
        ("\u22125", "is negative"),
        ("1:5", "two digits"),
        ("1:75", "more than 59"),
        ("1:75:00", "more than 59"),
        ("1:2:03", "two digits"),
        ("30 s 1 min", "out of order"),
        ("30 s 30 s", "twice"),
        ("40 sx", "cannot be understood"),
        ("5 apples", "cannot be understood"),
        ("1:30 s", "cannot be understood"),
        ("1e3", "cannot be understood"),
        ("9" * 10_000, "is not a time"),
        ("\u0664\u0665 s", "is not a time"),
    ],
)
def test_anything_else_is_refused_with_the_reason(text, why):
    """Nothing is guessed from a time that could mean two things."""
    with pytest.raises(ValueError, match=why):
        parse_duration(text)


@given(st.integers(0, 6 * 3_600_000))
def test_a_printed_duration_reads_back(ms):
    """What cuetrack prints can be pasted into a plan."""
    assert parse_duration(duration(ms)) == ms


@given(st.integers(0, 6 * 3600))
def test_a_printed_clock_reads_back(seconds):
    """A running time can be pasted into a plan."""
    assert parse_duration(clock(1000 * seconds)) == 1000 * seconds


@given(st.integers(0, 10**7), st.integers(1, 100))
def test_shares_add_up_and_differ_by_a_second_at_most(total_ms, count):
    """Sharing out loses nothing, and the longer parts come first."""
    parts = share_out(total_ms, count)
    whole = [parts[0] - total_ms % 1000, *parts[1:]]
    assert sum(parts) == total_ms
    assert all(part % 1000 == 0 for part in whole)
    assert whole == sorted(whole, reverse=True)
    assert whole[0] - whole[-1] in (0, 1000)


def test_a_time_stuck_to_a_name_is_seen():
    """A forgotten colon is noticed, a name with a number is not one."""
    assert ends_in_time("heel dig 40 s")
    assert not ends_in_time("heel dig 2")
    assert not ends_in_time("40 s")
