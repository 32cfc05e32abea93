"""Legal plans of every shape, as YAML texts and as values.

`legal_plan_texts` writes plans the way people do: with and without each
optional part, short and long forms, flow and block style, quoted and plain.
`legal_plans` are the same plans read.
"""

import yaml
from hypothesis import strategies as st

from cuetrack.plan.reading import parse_plan

NAMES = [
    "heel dig",
    "toe tap side",
    "easy march",
    "Straight punch",
    "knee lift",
    "shoulder roll",
    "biceps curl",
    "calf stretch",
    "Größe zeigen",
    "løft kneet",
]
SENTENCES = [
    "Sit tall and look ahead.",
    "Lift one foot, then the other.",
    "Breathe out as you lift",
    "Half a turn: slow, then back",
    "Øv rolig, pust ut.",
    "Keep the feet flat # on the floor",
    "3-2-1 and rest",
    "no hurry",
]
sentences = st.sampled_from(SENTENCES)
names = st.sampled_from(NAMES)


def written_times(least_s, most_s):
    """Whole seconds in every form that people write."""
    return st.integers(least_s, most_s).flatmap(_forms_of)


def _forms_of(seconds):
    minutes, rest = divmod(seconds, 60)
    forms = [
        f"{seconds} s",
        f"{seconds}s",
        f"{seconds} sec",
        f"{seconds} seconds",
        str(seconds),
        f"{minutes}:{rest:02}",
    ]
    if minutes:
        forms.append(f"{minutes} min {rest} s")
    return st.sampled_from(forms)


def _some(**optional):
    """Any of the keys, underscores standing for spaces."""
    return st.fixed_dictionaries({}, optional=optional).map(
        lambda keys: {key.replace("_", " "): value for key, value in keys.items()}
    )


def _details(*, rest):
    times = {"for": written_times(20, 120)}
    if rest:
        times["rest"] = written_times(5, 60)
    return _some(
        **times,
        sides=st.sampled_from(["both", "each", ["right leg", "left leg"]]),
        hold=st.sampled_from(["yes", "no", True, False, "30 s"]),
        how=sentences,
        in_short=sentences,
        form=st.one_of(sentences, st.lists(sentences, min_size=1, max_size=3)),
        easier=st.one_of(sentences, st.just("none")),
        harder=sentences,
        equipment=st.sampled_from(["light hand weights", "a towel", "none"]),
        breathing=sentences,
        caution=sentences,
        tempo=st.one_of(st.integers(60, 130), st.just("110 bpm")),
        effort=st.integers(0, 10),
        regions=st.lists(st.sampled_from(["arms", "legs"]), min_size=1, max_size=2),
        tags=st.lists(st.sampled_from(["overhead", "loaded"]), min_size=1, max_size=2),
    )


def written_movements(*, rest=False):
    """A movement in each of its four forms."""
    details = _details(rest=rest)
    return st.one_of(
        names,
        st.builds(lambda name, time: {name: time}, names, written_times(20, 120)),
        st.builds(lambda name, keys: {name: keys}, names, details),
        st.builds(lambda name, keys: {"movement": name, **keys}, names, details),
    )


def _cues(longest_s):
    moments = st.one_of(
        st.integers(0, longest_s - 1).map(lambda s: f"{s} s"),
        st.integers(1, longest_s).map(lambda s: f"{s} s from end"),
        st.just("halfway"),
        st.integers(0, longest_s // 2 - 1).map(lambda s: f"{s} s after halfway"),
    )
    cue = st.fixed_dictionaries({"say": sentences, "at": moments})
    return st.lists(cue, min_size=1, max_size=3)


def _plain_sections():
    moves = st.lists(written_movements(), min_size=1, max_size=5)
    keyed = st.builds(
        lambda movements, keys: {"movements": movements, **keys},
        moves,
        _some(
            title=sentences,
            opening=st.one_of(st.just("none"), written_times(5, 60)),
            cues=_cues(20),
            music=st.just("none"),
        ),
    )
    only_names = st.lists(names, min_size=1, max_size=5)
    shared = st.builds(
        lambda movements, total: {"for": total, "movements": movements},
        only_names,
        written_times(100, 600),
    )
    return st.one_of(moves, keyed, shared, names)


def _recoveries():
    return st.one_of(written_times(5, 180), _plain_sections())


def _interval_sections():
    breaks = st.one_of(
        st.just("none"),
        written_times(10, 120),
        _some(
            **{
                "for": written_times(10, 120),
                "with": written_movements(),
                "say": st.lists(sentences, min_size=1, max_size=2),
            }
        ),
    )
    change = _some(
        work=written_times(20, 90),
        rest=written_times(5, 90),
        coaching=st.sampled_from(["everything", "clock"]),
        equipment=st.sampled_from(["light hand weights", "none"]),
    )
    changes = st.dictionaries(
        st.sampled_from(["1", "first", "last", "1-last", "from 1"]), change, max_size=2
    )
    return st.builds(
        lambda movements, keys: {**keys, "movements": movements},
        st.lists(written_movements(rest=True), min_size=1, max_size=6),
        _some(
            work=written_times(20, 90),
            rest=written_times(5, 90),
            rounds=st.integers(1, 4),
            between_rounds=breaks.filter(lambda value: value != {}),
            in_rounds=changes,
            break_after_last=st.sampled_from(["yes", "no"]),
            title=sentences,
            opening=st.one_of(st.just("none"), written_times(5, 60)),
            cues=_cues(20),
        ),
    )


def _talks():
    keys = _some(
        **{
            "for": written_times(5, 180),
            "say": st.lists(sentences, min_size=1, max_size=4),
            "title": sentences,
        }
    )
    return st.one_of(
        st.just("none"), written_times(5, 180), keys.filter(lambda value: value != {})
    )


_SECTIONS = {
    "warm-up": _plain_sections(),
    "intervals": _interval_sections(),
    "recovery": _recoveries(),
    "cool-down": _plain_sections(),
}


@st.composite
def _section_keys(draw):
    """Sections as keys of the plan, in any order."""
    kinds = draw(
        st.lists(
            st.sampled_from(sorted(_SECTIONS)), min_size=1, unique=True, max_size=4
        )
    )
    sections = {kind: draw(_SECTIONS[kind]) for kind in kinds}
    for talk in draw(st.sets(st.sampled_from(["welcome", "close"]))):
        sections[talk] = draw(_talks())
    return sections


@st.composite
def _section_lists(draw):
    """Sections as a list, where a kind may come twice."""
    kinds = draw(st.lists(st.sampled_from(sorted(_SECTIONS)), min_size=1, max_size=4))
    sections = [{kind: draw(_SECTIONS[kind])} for kind in kinds]
    if draw(st.booleans()):
        sections.insert(0, {"welcome": draw(_talks())})
    if draw(st.booleans()):
        sections.append({"close": draw(_talks())})
    return {"sections": sections}


def _settings():
    groups = st.one_of(
        st.just("new"),
        st.just(["experienced", "hip replacement"]),
        _some(
            age=st.integers(60, 95),
            level=st.sampled_from([60, "65 dB", 62.5]),
            facts=st.just(["new"]),
        ).filter(lambda value: value != {}),
    )
    return _some(
        language=st.sampled_from(["en", "no", "de", "en-GB"]),
        voice=st.just("joe"),
        coaching=st.sampled_from(["everything", "clock"]),
        counting=st.sampled_from(["voice", "tones", "both"]),
        bring=st.one_of(sentences, st.lists(sentences, min_size=1, max_size=3)),
        music=st.one_of(
            st.just("tea dance.mp3"),
            st.just(["one.mp3", "two.ogg"]),
            st.just({"own": "calm", "tempo": 100}),
            st.just({"files": "one.mp3", "rights": "recorded by ourselves"}),
            st.just({"own": "bright", "well under voice": True}),
        ),
        group=groups,
        pronounce=st.just({"Maud": "mawd"}),
        acknowledge=st.just({"T09": "They asked for it."}),
    )


@st.composite
def legal_plan_texts(draw):
    """The YAML text of a plan that reads without a problem."""
    sections = draw(st.one_of(_section_keys(), _section_lists()))
    plan = {"title": draw(sentences), **draw(_settings()), **sections}
    return yaml.safe_dump(
        plan,
        allow_unicode=True,
        sort_keys=False,
        default_flow_style=draw(st.sampled_from([True, False, None])),
        width=draw(st.sampled_from([40, 200])),
    )


def legal_plans():
    """Plans that read without a problem."""
    return legal_plan_texts().map(lambda text: parse_plan(text, "legal.yaml"))
