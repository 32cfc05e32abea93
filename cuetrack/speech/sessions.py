"""Voice models loaded so that the same input gives the same sound."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import onnxruntime

from cuetrack.errors import SpeechError
from cuetrack.systems import return_freed_memory

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path


class SharedModel:
    """A model that several threads run, each on one core, within some memory.

    What a sentence takes grows with its length. So those in work at once have at most
    ``most_symbols`` together; one that is longer runs alone.

    Parameters
    ----------
    session
        The model as its runtime has it.
    symbols
        The name of its input that holds the symbols of the sentence, (1, symbols).
    most_symbols
        How many may be in work at once.
    """

    def __init__(
        self,
        session: Any,  # noqa: ANN401 - onnxruntime has no types
        *,
        symbols: str,
        most_symbols: int,
    ) -> None:
        self._session = session
        self._symbols = symbols
        self._most_symbols = most_symbols
        self._in_work = 0
        self._changed = threading.Condition()

    def run(self, outputs: list[str] | None, inputs: Mapping[str, Any]) -> Any:  # noqa: ANN401
        """Return the outputs for some inputs, when there is room for them."""
        with self._room_for(inputs[self._symbols].size):
            return self._session.run(outputs, inputs)

    @contextmanager
    def _room_for(self, symbols: int) -> Iterator[None]:
        with self._changed:
            self._changed.wait_for(
                lambda: (
                    not self._in_work or self._in_work + symbols <= self._most_symbols
                )
            )
            self._in_work += symbols
        try:
            yield
        finally:
            with self._changed:
                self._in_work -= symbols
                self._changed.notify_all()


def shared_model(model: Path, *, symbols: str, most_symbols: int) -> SharedModel:
    """Return a model loaded to run on one thread for each sentence, without messages.

    Raises
    ------
    SpeechError
        If it is no model.
    """
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.inter_op_num_threads = 1
    options.log_severity_level = 3
    options.enable_mem_pattern = False  # a plan for each length of text: much memory
    try:
        session = onnxruntime.InferenceSession(
            str(model), sess_options=options, providers=["CPUExecutionProvider"]
        )
    except Exception as error:  # its exceptions share no base of their own
        raise SpeechError(
            f"{model} cannot be loaded as a voice model: {error}"
        ) from error
    return_freed_memory()
    return SharedModel(session, symbols=symbols, most_symbols=most_symbols)
