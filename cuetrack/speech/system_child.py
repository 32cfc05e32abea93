"""Has the operating system speak one text into a file, then ends.

``python -m cuetrack.speech.system_child`` reads a JSON object with ``text``,
``language``, ``voice``, ``rate`` and ``path`` from standard input. It ends with 0 when
the speech system says it is done, 1 when it failed on this text, 2 when the machine
has no voice that would do; the reason stands on standard error. A process of its own,
because a speech system may hang, crash, or keep state from one text to the next.
"""

from __future__ import annotations

import ctypes
import json
import os
import re
import sys
from typing import Any

from cuetrack.systems import BRINGS_VOICES

FAILED = 1
NO_VOICE = 2


class NoVoiceError(Exception):
    """The machine has no speech system, or none of its voices fits."""


def main() -> int:
    """Speak the text on standard input; return the exit status."""
    task = json.load(sys.stdin)
    try:
        engine = _engine()
        _choose_voice(engine, task["voice"], task["language"])
    except NoVoiceError as error:
        sys.stderr.write(f"{error}\n")
        return NO_VOICE
    problems: list[str] = []

    def note(name: str, exception: Exception) -> None:
        problems.append(f"{name}: {exception!r}")

    engine.connect("error", note)
    engine.setProperty("rate", task["rate"])
    engine.save_to_file(task["text"], task["path"])
    engine.runAndWait()
    sys.stderr.writelines(f"{problem}\n" for problem in problems)
    return FAILED if problems else 0


def _engine() -> Any:  # noqa: ANN401 - pyttsx3 has no types
    _offer_embedded_espeak()
    try:
        import pyttsx3  # noqa: PLC0415 - looks for the speech system when imported

        return pyttsx3.init()
    except Exception as error:
        raise NoVoiceError(f"no speech system answers ({error!r})") from error


def _offer_embedded_espeak() -> None:
    """On Linux, let the speech system be the embedded espeak-ng if it has none.

    A library that is loaded already answers to its own name when asked for again.
    """
    if BRINGS_VOICES:
        return
    try:
        ctypes.CDLL("libespeak-ng.so.1")
    except OSError:
        import espeakng_loader  # noqa: PLC0415 - only where it is needed

        os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
        ctypes.CDLL(espeakng_loader.get_library_path())


def _choose_voice(
    engine: Any,  # noqa: ANN401 - pyttsx3 has no types
    wanted: str,
    language: str,
) -> None:
    """Set the voice of this name, else one of this language, the default first."""
    voices = list(engine.getProperty("voices"))
    if wanted:
        named = [v for v in voices if wanted.lower() in {v.id.lower(), v.name.lower()}]
        if not named:
            names = ", ".join(v.name for v in voices[:20])
            raise NoVoiceError(f"no voice is called {wanted!r}; there are {names}")
        engine.setProperty("voice", named[0].id)
        return
    spoken = {v.id: _languages(v) for v in voices}
    if not any(spoken.values()):
        return  # a system that does not say what its voices speak keeps its default
    default = engine.getProperty("voice")
    fitting = [identity for identity, codes in spoken.items() if language in codes]
    if default in fitting:
        return
    if not fitting:
        raise NoVoiceError(f"no voice speaks {language!r}")
    engine.setProperty("voice", fitting[0])


def _languages(voice: Any) -> set[str]:  # noqa: ANN401 - pyttsx3 has no types
    """Return the codes of a voice's languages, without their regions.

    Some systems give bytes, some with a byte of priority in front.
    """
    texts = (
        code.decode("ascii", "ignore") if isinstance(code, bytes) else str(code)
        for code in voice.languages or ()
    )
    letters = (re.search("[a-z]+", text.lower()) for text in texts)
    return {found[0] for found in letters if found}


if __name__ == "__main__":
    sys.exit(main())
