"""How the help of a command is set: prose to the width, examples as they stand."""

from __future__ import annotations

import re
import textwrap
from argparse import HelpFormatter


class ProseAndExamples(HelpFormatter):
    """Wraps paragraphs to the width of the screen; keeps what is set in."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        paragraphs = re.split(r"\n\s*\n", text.strip("\n"))
        return "\n\n".join(
            textwrap.indent(one, indent)
            if one.startswith(" ")
            else textwrap.fill(" ".join(one.split()), width, break_on_hyphens=False)
            for one in paragraphs
        )
