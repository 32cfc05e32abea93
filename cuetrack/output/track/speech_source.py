"""What the sound of a track's voice came from, as its cue sheet tells."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from msgspec import Meta, Struct

from cuetrack.speech.keys import lines_digest, model_digest, versions_of

if TYPE_CHECKING:
    from cuetrack.speech.model import Voice


class PersonHeard(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whose voice is heard in a voice that was read, and that it may be."""

    name: str
    consent: Annotated[
        str, Meta(description="Who agreed, on which day and to what, in words.")
    ]
    lines: Annotated[str, Meta(description="SHA-256 of the list of lines read.")]
    filled_by: Annotated[
        str | None, Meta(description="The voice that says what was not read.")
    ]


class SpeechSource(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the sound of the voice came from."""

    engine: str
    versions: Annotated[
        dict[str, str],
        Meta(description="Version of each package that shapes the sound, by name."),
    ]
    model: Annotated[
        str | None, Meta(description="SHA-256 of the voice's model, if it has one.")
    ]
    person: Annotated[
        PersonHeard | None, Meta(description="Who is heard, null for an engine.")
    ] = None


def speech_source_of(voice: Voice) -> SpeechSource:
    """Return what a voice is made of, by which it can be told again."""
    person = None
    if voice.recorded is not None:
        agreed = voice.recorded.consent
        person = PersonHeard(
            name=voice.recorded.who,
            consent=f"{agreed.by} agreed on {agreed.day}: {agreed.use}",
            lines=lines_digest(voice),
            filled_by=voice.filling.name if voice.filling else None,
        )
    return SpeechSource(
        engine=voice.engine,
        versions=versions_of(voice),
        model=model_digest(voice),
        person=person,
    )
