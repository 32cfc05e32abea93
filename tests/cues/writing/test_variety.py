"""Promises of variety: nothing grows stale, and nothing is left to chance."""

from __future__ import annotations

from cues import builders as make
from cues.sheets import sheet_of
from cues.strategies import few, plans
from hypothesis import given

from cuetrack import cuekinds
from cuetrack.cuekinds import CUE_KINDS
from cuetrack.cues.model import Cue, Wording
from cuetrack.cues.writing.variety import FRESH_AFTER_MS, choose_variants


def cue(at_s: int, *variants: tuple[str, ...], kind=cuekinds.ENCOURAGEMENT) -> Cue:
    return Cue(
        id=f"cue at {at_s}",
        kind=kind,
        segment="welcome",
        window_start_ms=at_s * 1000,
        window_end_ms=at_s * 1000 + 5_000,
        variants=tuple(
            tuple(Wording(text=text, spoken=text) for text in variant)
            for variant in variants
        ),
        priority=kind.priority,
        wanted_ms=at_s * 1000,
    )


def said(cues) -> list[tuple[str, ...]]:
    return [tuple(one.text for one in each.wordings) for each in choose_variants(cues)]


def test_variants_take_turns_in_the_order_of_the_pack():
    """The first three cues use the three variants in order."""
    cues = [cue(at, ("A",), ("B",), ("C",)) for at in (0, 60, 120)]
    assert said(cues) == [("A",), ("B",), ("C",)]


def test_a_cue_with_nothing_fresh_is_dropped():
    """Two variants last for two encouragements in ten minutes, not three."""
    cues = [cue(at, ("A",), ("B",)) for at in (0, 60, 120)]
    assert said(cues) == [("A",), ("B",)]


def test_after_ten_minutes_all_may_be_said_again():
    """What was last heard more than ten minutes ago is fresh."""
    assert said([cue(0, ("A",)), cue(604, ("A",))]) == [("A",)]
    assert said([cue(0, ("A",)), cue(605, ("A",))]) == [("A",), ("A",)]


def test_a_stale_short_wording_is_left_out_of_an_otherwise_fresh_variant():
    """A variant keeps those of its wordings that are fresh."""
    cues = [cue(0, ("A long", "A")), cue(60, ("Another", "A"))]
    assert said(cues) == [("A long", "A"), ("Another",)]


def test_whole_variants_are_preferred_to_partly_stale_ones():
    """A variant with all its wordings fresh goes before one that lost some."""
    cues = [cue(0, ("A",)), cue(60, ("B", "A"), ("C", "D"))]
    assert said(cues) == [("A",), ("C", "D")]


def test_the_clock_may_repeat_itself_but_takes_turns():
    """Calls of the clock are never dropped for being heard before."""
    cues = [cue(at, ("A",), ("B",), kind=cuekinds.STOP) for at in (0, 60, 120)]
    assert said(cues) == [("A",), ("B",), ("A",)]


@few
@given(plans())
def test_nothing_but_the_clock_names_and_safety_is_said_twice_in_ten_minutes(plan):
    """However placement moves and shortens cues, ten minutes lie between repeats."""
    last_end_ms: dict[str, int] = {}
    for cue in sheet_of(plan).cues:
        if cue.kind.may_repeat:
            continue
        for wording in cue.wordings:
            before_ms = last_end_ms.get(wording.text)
            fresh = before_ms is None or (
                cue.window_start_ms - before_ms >= FRESH_AFTER_MS
            )
            assert fresh, wording.text
        for wording in cue.wordings:
            last_end_ms[wording.text] = cue.window_end_ms


def test_encouragement_is_never_allowed_to_repeat():
    """Encouragement, coaching and talk checks are under the rule."""
    under_the_rule = {kind for kind in CUE_KINDS.values() if not kind.may_repeat}
    assert under_the_rule >= {
        cuekinds.ENCOURAGEMENT,
        cuekinds.FORM,
        cuekinds.OPTION,
        cuekinds.BREATH,
        cuekinds.TALK_CHECK,
        cuekinds.REST,
    }


def test_the_same_plan_gives_the_same_sheet():
    """Writing a sheet twice gives equal values."""
    assert sheet_of(make.whole_class()) == sheet_of(make.whole_class())
