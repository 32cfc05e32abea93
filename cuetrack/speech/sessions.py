"""Voice models loaded so that the same input gives the same sound."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import onnxruntime

from cuetrack.errors import SpeechError

if TYPE_CHECKING:
    from pathlib import Path


def quiet_session(model: Path) -> Any:  # noqa: ANN401 - onnxruntime has no types
    """Return a model loaded to run on one thread, without messages.

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
        return onnxruntime.InferenceSession(
            str(model), sess_options=options, providers=["CPUExecutionProvider"]
        )
    except Exception as error:  # its exceptions share no base of their own
        raise SpeechError(
            f"{model} cannot be loaded as a voice model: {error}"
        ) from error
