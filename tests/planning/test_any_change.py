"""Any change of any plan can be written into its text, or is refused with a reason."""

from dataclasses import replace

from hypothesis import Phase, event, given, settings
from hypothesis import strategies as st
from plan.strategies import legal_plan_texts, sentences

from cuetrack.errors import CuetrackError
from cuetrack.movements.known import Library
from cuetrack.movements.library import load_library
from cuetrack.plan.model import (
    Acknowledgement,
    Coaching,
    CountFrom,
    Counting,
    FreeCue,
    Group,
    Moment,
    Music,
    MusicStyle,
    Options,
    Pace,
    RecoveryBreak,
    Section,
    SectionKind,
)
from cuetrack.plan.reading import parse_plan
from cuetrack.planning.editing import plainly, rewritten

TALKS = {SectionKind.WELCOME, SectionKind.CLOSE}
NAMES = ["heel dig", "easy march", "calf stretch", "wave to Maud", "biceps curl"]


def read(text):
    return parse_plan(text, "class.yaml", library=load_library)


def times(least_s, most_s):
    return st.integers(least_s, most_s).map(lambda seconds: 1000 * seconds)


HEAD = {
    "title": sentences,
    "coaching": st.sampled_from(Coaching),
    "counting": st.sampled_from(Counting),
    "pace": st.sampled_from(Pace),
    "options": st.sampled_from(Options),
    "voice": st.sampled_from(["joe", None]),
    "lasts_ms": st.one_of(st.none(), times(600, 3600)),
    "bring": st.lists(sentences, max_size=3).map(tuple),
    "music": st.sampled_from([None, Music(own=MusicStyle.CALM, tempo_bpm=90)]),
    "group": st.builds(
        Group, age=st.integers(60, 90), facts=st.sampled_from([(), ("new",)])
    ),
    "pronunciations": st.sampled_from([(), (("Maud", "mawd"), ("Ng", "ing"))]),
    "acknowledged": st.sampled_from(
        [(), (Acknowledgement(rule="T01", reason="They: want it"),)]
    ),
}
CLOCK = {
    "work_ms": times(20, 90),
    "rest_ms": times(5, 90),
    "rounds": st.integers(1, 4),
    "break_after_last": st.booleans(),
}
SECTION = {
    "title": sentences,
    "opening_ms": st.one_of(st.just(0), times(5, 60)),
    "music": st.sampled_from([None, Music(), Music(own=MusicStyle.BRIGHT)]),
    "free_cues": st.lists(
        st.builds(
            FreeCue,
            text=sentences,
            at=st.builds(
                Moment,
                offset_ms=times(1, 9),
                count_from=st.sampled_from([CountFrom.START, CountFrom.END]),
            ),
        ),
        max_size=3,
    ).map(tuple),
}
MOVEMENT = {
    "name": st.sampled_from(NAMES),
    "how": sentences,
    "form": st.lists(sentences, min_size=1, max_size=3).map(tuple),
    "easier": st.one_of(st.none(), sentences),
    "equipment": st.one_of(st.none(), st.just("a towel")),
    "hold_ms": st.sampled_from([None, 0]),
    "tempo_bpm": st.integers(60, 130),
    "importance": st.integers(1, 5),
    "sides": st.sampled_from([(), ("right leg", "left leg")]),
}


@st.composite
def values_of(draw, owner, strategies):
    """The owner with another value of one of its attributes."""
    name = draw(st.sampled_from(sorted(strategies)))
    return replace(owner, **{name: draw(strategies[name])})


@st.composite
def new_movements(draw, plan, section):
    """A movement of the library, or of nobody's, that is not in the text yet."""
    known = Library.of(load_library(plan.language)).plain(draw(st.sampled_from(NAMES)))
    own_ms = draw(times(40, 90))
    if section.intervals and draw(st.booleans()):
        own_ms = None
    return replace(known, duration_ms=own_ms)


@st.composite
def changed_movements(draw, plan, section):
    """A section with one movement otherwise, more, less or elsewhere."""
    movements = list(section.movements)
    at = draw(st.integers(0, len(movements) - 1))
    kind = draw(st.sampled_from(["value", "time", "more", "less", "order"]))
    if kind == "value":
        movements[at] = draw(values_of(movements[at], MOVEMENT))
    elif kind == "time":
        movements[at] = replace(movements[at], duration_ms=draw(times(40, 90)))
    elif kind == "more":
        movements.insert(at, draw(new_movements(plan, section)))
    elif kind == "less" and len(movements) > 1:
        del movements[at]
    else:
        movements = draw(st.permutations(movements))
    return replace(section, movements=tuple(movements))


@st.composite
def changed_sections(draw, plan, section):
    """A section with a key or a movement otherwise."""
    kind = draw(st.sampled_from(["keys", "clock", "break", "movements"]))
    if section.kind in TALKS:
        return replace(section, duration_ms=draw(times(20, 90)))
    if kind == "clock" and section.intervals:
        return replace(section, intervals=draw(values_of(section.intervals, CLOCK)))
    if kind == "break" and section.intervals:
        easy = replace(draw(new_movements(plan, section)), duration_ms=None)
        new = RecoveryBreak(duration_ms=draw(times(10, 120)), movement=easy)
        pause = draw(st.sampled_from([None, new]))
        return replace(
            section, intervals=replace(section.intervals, between_rounds=pause)
        )
    if kind == "movements":
        return draw(changed_movements(plan, section))
    return draw(values_of(section, SECTION))


@st.composite
def rearranged(draw, plan):
    """The plan's sections more, fewer, or in another order."""
    inner = [section for section in plan.sections if section.kind not in TALKS]
    kind = draw(st.sampled_from(["more", "fewer", "order"]))
    at = draw(st.integers(0, len(inner) - 1))
    if kind == "more":
        part = Section(kind=SectionKind.RECOVERY, title=inner[at].title)
        movements = draw(
            st.lists(new_movements(plan, part), min_size=1, max_size=3).map(tuple)
        )
        inner.insert(at, replace(part, movements=movements, opening_ms=10_000))
    elif kind == "fewer" and len(inner) > 1:
        del inner[at]
    else:
        inner = draw(st.permutations(inner))
    ends = [[s for s in plan.sections if s.kind is kind] for kind in sorted(TALKS)]
    close, welcome = ends
    return replace(plan, sections=(*welcome, *inner, *close))


@st.composite
def wishes(draw, plan):
    """The plan with anything otherwise."""
    kind = draw(st.sampled_from(["head", "section", "section", "sections"]))
    if kind == "head":
        return draw(values_of(plan, HEAD))
    if kind == "sections":
        return draw(rearranged(plan))
    at = draw(st.integers(0, len(plan.sections) - 1))
    new = draw(changed_sections(plan, plan.sections[at]))
    sections = (*plan.sections[:at], new, *plan.sections[at + 1 :])
    return replace(plan, sections=sections)


SAID = (
    "Changed like this it is no plan",
    "in place of",
    "out in full, then try again",
)


def attempt(text, plan, wanted):
    """The text with the change, or else the reason why there is none."""
    try:
        return rewritten(text, plan, wanted, read, note=None), ""
    except CuetrackError as error:
        return None, str(error)


@settings(max_examples=150, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(legal_plan_texts(), st.data())
def test_any_change_of_any_legal_plan_can_be_written(text, data):
    """What was wanted is what is read, however the plan was written."""
    plan = read(text)
    wanted = data.draw(wishes(plan))
    new, reason = attempt(text, plan, wanted)
    if new is None:
        event(reason[-60:])
        assert any(said in reason for said in SAID), reason
    else:
        event("written")
        assert plainly(read(new)) == plainly(wanted)


def test_a_change_can_be_taken_back():
    """A text that was changed and changed back is what it was."""
    text = "title: A\nwarm-up: [easy march]\nintervals: {movements: [heel dig]}\n"
    plan = read(text)
    longer = replace(plan, title="B", lasts_ms=600_000, bring=("a chair", "water"))
    new = rewritten(text, plan, longer, read)
    assert rewritten(new, read(new), plan, read) == text
