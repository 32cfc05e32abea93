"""Speaks what the store does not have yet, and finds the rest there."""

from __future__ import annotations

import threading
from collections import deque
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING

from cuetrack.claims import claimed
from cuetrack.errors import SpeechError
from cuetrack.speech.clips import finish
from cuetrack.speech.engines import open_engine, worker_count
from cuetrack.speech.keys import beat_offset_ms
from cuetrack.speech.text_keys import TextKeys, speaking
from cuetrack.systems import return_freed_memory

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from cuetrack.arrays import Samples
    from cuetrack.speech.model import Clip, Engine, Progress, RawSpeech, Voice
    from cuetrack.speech.store import ClipStore

CLAIMS = "claims"
"""The folder of the store in which processes say which clip they are speaking."""


class _FromBothEnds:
    """Texts in order of length, of which never two of the longest are in work."""

    def __init__(self, longest_first: Iterable[str]) -> None:
        self._texts = deque(longest_first)
        self._long_one = threading.Lock()

    @contextmanager
    def taken(self) -> Iterator[str]:
        """Take the longest text, or the shortest while another has the longest."""
        if not self._long_one.acquire(blocking=False):
            yield self._texts.pop()
            return
        try:
            yield self._texts.popleft()
        finally:
            self._long_one.release()


class StoredSpeaker:
    """A voice and its store. The engine is loaded when a clip is first missing.

    Attributes
    ----------
    rendered : int
        How many texts were spoken anew so far.
    """

    def __init__(
        self,
        voice: Voice,
        store: ClipStore,
        opener: Callable[[Voice], Engine] = open_engine,
    ) -> None:
        self.voice = voice
        self.store = store
        self.rendered = 0
        self._opener = opener
        self._engines: dict[str, Engine] = {}
        self._opening = threading.Lock()
        self._finishing = ThreadPoolExecutor(1, "finishing")  # a thread keeps memory
        self._keys = TextKeys(voice)
        self._clips: dict[str, Clip] = {}

    def key(self, spoken: str) -> str:
        """Return the key under which the clip of a text is stored."""
        return self._keys.key(spoken)

    def speak(
        self, spoken: Iterable[str], progress: Progress | None = None
    ) -> dict[str, Clip]:
        """Return a clip for each distinct text, its stored samples found whole.

        Raises
        ------
        SpeechError
            If the engine cannot be loaded or fails on a text, which is named.
        """
        texts = tuple(dict.fromkeys(spoken))
        found = {text: self.store.holds(self.key(text)) for text in texts}
        clips = {text: clip for text, clip in found.items() if clip is not None}
        missing = [text for text in texts if text not in clips]
        if progress is not None:
            progress(len(clips), len(texts))
        for text, clip in self._speak_anew(missing):
            clips[text] = clip
            if progress is not None:
                progress(len(clips), len(texts))
        self._clips |= {clip.key: clip for clip in clips.values()}
        return {text: clips[text] for text in texts}

    def rest(self) -> None:
        """Let go of the engine and its memory; it is loaded again if need be."""
        with self._opening:
            self._engines.clear()
        return_freed_memory()

    def samples(self, key: str) -> Samples:
        """Return the samples of a clip, shape (frames,), not to be written to.

        A clip that was damaged after it was spoken is spoken again.

        Raises
        ------
        SpeechError
            If the clip is unknown, or comes out different from what was promised.
        """
        promised = self._clips.get(key)
        found = self.store.found(key)
        if promised is None or found is not None:
            return self.store.samples(key) if found is None else found
        if self._render(promised.spoken) != promised:
            raise SpeechError(
                f"The stored clip of {promised.spoken!r} was damaged, and the voice "
                f"{self.voice.name} now says it differently.",
                "Make the track again.",
            )
        return self.store.samples(key)

    def _speak_anew(self, texts: list[str]) -> Iterable[tuple[str, Clip]]:
        """Yield each text with its clip as it is done.

        What another process is just speaking is waited for, once there is nothing
        else to say.
        """
        missing = sorted(texts, key=len, reverse=True)
        pool = ThreadPoolExecutor(worker_count(self.voice), "speech")
        try:
            for wait in (False, True):
                waiting = _FromBothEnds(missing)
                render = partial(self._render_next, waiting, wait=wait)
                for task in as_completed([pool.submit(render) for _ in missing]):
                    text, clip = task.result()
                    if clip is not None:
                        missing.remove(text)
                        yield text, clip
        finally:
            pool.shutdown(cancel_futures=True)

    def _render_next(
        self, waiting: _FromBothEnds, *, wait: bool
    ) -> tuple[str, Clip | None]:
        with waiting.taken() as text:
            return text, self._render_once(text, wait=wait)

    def _render_once(self, spoken: str, *, wait: bool) -> Clip | None:
        """Return the clip of a text, whoever spoke it; None where another is at it."""
        key = self.key(spoken)
        with claimed(self.store.folder / CLAIMS, key, wait=wait) as ours:
            return (self.store.holds(key) or self._render(spoken)) if ours else None

    def _render(self, spoken: str) -> Clip:
        voice = speaking(self.voice, spoken)
        engine = self._loaded(voice)
        with _named(voice, spoken):
            raw = engine.render(spoken)
        clip = self._finishing.submit(self._finished, voice, spoken, raw).result()
        with self._opening:
            self.rendered += 1
        return clip

    def _finished(self, voice: Voice, spoken: str, raw: RawSpeech) -> Clip:
        """Finish a clip and put it into the store: one at a time, for the memory."""
        offset_ms = beat_offset_ms(voice, spoken)
        with _named(voice, spoken):
            finished = finish(raw, voice.beat_rule, offset_ms)
        clip = self.store.put(self.key(spoken), spoken, finished)
        return_freed_memory()
        return clip

    def _loaded(self, voice: Voice) -> Engine:
        with self._opening:
            if voice.name not in self._engines:
                self._engines[voice.name] = self._opener(voice)
            return self._engines[voice.name]


@contextmanager
def _named(voice: Voice, spoken: str) -> Iterator[None]:
    """Say of what fails which text it was."""
    try:
        yield
    except SpeechError as error:
        raise SpeechError(
            f"The voice {voice.name} could not say {spoken!r}. {error}"
        ) from error
