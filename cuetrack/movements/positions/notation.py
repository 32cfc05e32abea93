"""The notation of key positions: short phrases a trainer reads.

A position is a line of clauses, ``;`` between them. A clause names a part and says,
with commas, what it does; what is not said stays as it was at the start::

    right leg heel 25, knee 35; arms lift 90 front, elbow 10 up; trunk lean 15

======================  =========================================================
part                    what it does
======================  =========================================================
trunk                   lean N, bend N, side right N, turn left N, tip right N,
                        breath N
head                    nod N, tuck N, side right N, turn left N
hips                    rise N, forward N, right N
arms, right arm, ...    lift N TOWARD, elbow N TOWARD, on PLACE, elbow TOWARD
                        (which way it points when the hand is on a place), hanging,
                        palm TOWARD, wrist N, hand SHAPE, shoulder up N,
                        shoulder front N
legs, right leg, ...    flat, heel N, ball N (the foot pitched by N on it), planted,
                        thigh N (off the floor), knee N, out N, splay N, toes N,
                        toe-out N
======================  =========================================================

TOWARD is front, back, side, in, up, down, or several joined: ``front-side``. The
meaning of each number is that of `position`.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeVar

from cuetrack.movements.positions.position import (
    ELBOW_REST,
    Arm,
    Contact,
    HandShape,
    Leg,
    Position,
    RestsOn,
)
from cuetrack.movements.positions.vectors import (
    DOWN,
    Vector,
    add,
    angle_between,
    times,
    unit,
)

if TYPE_CHECKING:
    from collections.abc import Callable

_Limb = TypeVar("_Limb", Arm, Leg)

ALONG: Final = 12.0
"""An elbow cannot be told to bend closer than this to the line of the upper arm."""

_TOWARD: Final[dict[str, Vector]] = {
    "front": (1.0, 0.0, 0.0),
    "back": (-1.0, 0.0, 0.0),
    "side": (0.0, 1.0, 0.0),
    "in": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}
_PARTS: Final = {
    "trunk": ("trunk",),
    "head": ("head",),
    "hips": ("pelvis",),
    "arms": ("right_arm", "left_arm"),
    "right arm": ("right_arm",),
    "left arm": ("left_arm",),
    "legs": ("right_leg", "left_leg"),
    "right leg": ("right_leg",),
    "left leg": ("left_leg",),
}
_SIDED: Final = {"right": 1.0, "left": -1.0}
_PLAIN: Final = {
    "trunk": ("lean", "bend", "breath"),
    "head": ("nod", "tuck"),
    "pelvis": ("rise", "forward", "right"),
}
_TO_A_SIDE: Final = {"trunk": ("side", "turn", "tip"), "head": ("side", "turn")}


class NotationError(ValueError):
    """A phrase that cannot be read; ``remedy`` says what could stand there."""

    def __init__(self, what: str, remedy: str) -> None:
        self.remedy = remedy
        super().__init__(what)


def position_of(text: str, base: Position) -> Position:
    """Return the position a line describes, seen from ``base``.

    >>> position_of("trunk lean 20, turn left 5", Position()).trunk.turn
    -5.0

    Raises
    ------
    NotationError
        With the phrase that was not understood.
    """
    position = base
    for clause in text.split(";"):
        names, phrases = _subject(clause.strip())
        for name in names:
            part = getattr(position, name)
            for phrase in phrases:
                part = _told(name, part, phrase.split())
            if isinstance(part, Arm):
                _check_elbow(part, clause.strip())
            position = replace(position, **{name: part})
    return position


def _subject(clause: str) -> tuple[tuple[str, ...], list[str]]:
    for words in sorted(_PARTS, key=len, reverse=True):
        if clause.startswith(words + " "):
            rest = clause[len(words) :].split(",")
            return _PARTS[words], [phrase.strip() for phrase in rest]
    raise NotationError(
        f'"{clause}" names no part of the body.', f"Start with {', '.join(_PARTS)}."
    )


def _told(name: str, part: object, words: list[str]) -> object:
    if isinstance(part, Arm):
        return _by_table(part, words, _ARM_WORDS, _ARM_FORMS)
    if isinstance(part, Leg):
        return _by_table(part, words, _LEG_WORDS, _LEG_FORMS)
    match words:
        case [word, number] if word in _PLAIN.get(name, ()):
            return replace(part, **{word: _number(number)})  # type: ignore[type-var]
        case [word, side, number] if word in _TO_A_SIDE.get(name, ()):
            if side in _SIDED:
                value = _SIDED[side] * _number(number)
                return replace(part, **{word: value})  # type: ignore[type-var]
    known = [f"{word} N" for word in _PLAIN[name]]
    known += [f"{word} right N" for word in _TO_A_SIDE.get(name, ())]
    raise NotationError(_unread(words), f"Known here: {', '.join(known)}.")


def _by_table(
    part: _Limb, words: list[str], table: dict[str, Callable[..., _Limb]], forms: str
) -> _Limb:
    first, *rest = words or [""]
    try:
        return table[first](part, *rest)
    except (KeyError, TypeError) as error:
        raise NotationError(_unread(words), f"Known here: {forms}.") from error


def _lifted(arm: Arm, number: str, way: str) -> Arm:
    radians = math.radians(_number(number))
    level = times(_level(way), math.sin(radians))
    upper = add(times(DOWN, math.cos(radians)), level)
    loose = replace(arm, elbow=4.0, bend=_TOWARD["front"]) if arm.on else arm
    return replace(loose, upper=upper, on=None)


def _bent(arm: Arm, *words: str) -> Arm:
    match words:
        case [number, way]:
            return replace(arm, elbow=_number(number), bend=toward(way), on=None)
        case [word] if word[:1].isalpha():
            return replace(arm, bend=toward(word))
        case _:
            return replace(arm, elbow=_number(" ".join(words)), on=None)


def _placed(arm: Arm, *words: str) -> Arm:
    place = " ".join(words)
    if place not in set(RestsOn):
        raise NotationError(
            f'"{place}" is no place for a hand.', f"Known: {', '.join(RestsOn)}."
        )
    return replace(arm, on=RestsOn(place), bend=ELBOW_REST)


def _hanging(arm: Arm) -> Arm:
    loose = _lifted(arm, "10", "side")
    return replace(loose, elbow=8.0, bend=_TOWARD["front"])


def _shaped(arm: Arm, shape: str) -> Arm:
    if shape not in set(HandShape):
        raise NotationError(
            f'"{shape}" is no shape of a hand.', f"Known: {', '.join(HandShape)}."
        )
    return replace(arm, hand=HandShape(shape))


def _shoulder(arm: Arm, way: str, number: str) -> Arm:
    if way not in {"up", "front"}:
        raise NotationError(
            f'A shoulder is not moved "{way}".', "Write up or front, and how far."
        )
    return replace(arm, **{f"shoulder_{way}": _number(number)})  # type: ignore[arg-type]


def _standing(leg: Leg, pitch: float) -> Leg:
    return replace(leg, contact=Contact.FLOOR, thigh=None, toes=pitch)


_ARM_WORDS: Final[dict[str, Callable[..., Arm]]] = {
    "hanging": _hanging,
    "lift": _lifted,
    "elbow": _bent,
    "on": _placed,
    "palm": lambda arm, way: replace(arm, palm=toward(way)),
    "wrist": lambda arm, number: replace(arm, wrist=_number(number)),
    "hand": _shaped,
    "shoulder": _shoulder,
}
_LEG_WORDS: Final[dict[str, Callable[..., Leg]]] = {
    "flat": lambda leg: _standing(leg, 0.0),
    "heel": lambda leg, number: _standing(leg, _number(number)),
    "ball": lambda leg, number: _standing(leg, -_number(number)),
    "planted": lambda leg: replace(leg, contact=Contact.PLANTED, thigh=None),
    "thigh": lambda leg, number: replace(
        leg, contact=Contact.FREE, thigh=_number(number)
    ),
    "knee": lambda leg, number: replace(leg, knee=_number(number)),
    "out": lambda leg, number: replace(leg, out=_number(number)),
    "splay": lambda leg, number: replace(leg, splay=_number(number)),
    "toes": lambda leg, number: replace(leg, toes=_number(number)),
    "toe-out": lambda leg, number: replace(leg, toe_out=_number(number)),
}
_ARM_FORMS: Final = (
    '"lift N TOWARD", "elbow N TOWARD", "on PLACE", "elbow TOWARD", "hanging", '
    '"palm TOWARD", "wrist N", "hand SHAPE", "shoulder up N"'
)
_LEG_FORMS: Final = (
    '"flat", "heel N", "ball N", "planted", "thigh N", "knee N", "out N", "splay N", '
    '"toes N", "toe-out N"'
)


def toward(way: str) -> Vector:
    """Return a direction (front, outward, up) of length 1.

    >>> toward("in")
    (0.0, -1.0, 0.0)
    """
    parts = way.split("-")
    if not all(part in _TOWARD for part in parts):
        raise NotationError(
            f'"{way}" is no direction.',
            f'Write {", ".join(_TOWARD)}, or several joined: "front-side".',
        )
    found = unit(add(*(_TOWARD[part] for part in parts)))
    if found == (0.0, 0.0, 0.0):
        raise NotationError(f'"{way}" points nowhere.', "Take one of the two out.")
    return found


def _level(way: str) -> Vector:
    direction = toward(way)
    if abs(direction[2]) > 1e-6:
        raise NotationError(
            f'An arm is not lifted toward "{way}".',
            "Lift it toward front, side, back or in; the number says how high.",
        )
    return direction


def _check_elbow(arm: Arm, clause: str) -> None:
    if arm.on is None and arm.elbow > 8:
        angle = angle_between(arm.upper, arm.bend)
        if min(angle, 180 - angle) < ALONG:
            raise NotationError(
                f'"{clause}" bends the elbow along the upper arm.',
                "Say another direction for the elbow.",
            )


def _unread(words: list[str]) -> str:
    return f'"{" ".join(words)}" is not understood.'


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def _number(text: str) -> float:
    if not _is_number(text):
        raise NotationError(f'"{text}" is no number.', "Write degrees, such as 45.")
    return float(text)
