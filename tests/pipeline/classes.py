"""A short class of our own for tests that make whole tracks."""

from __future__ import annotations

SHORT_CLASS = """\
title: Short class at Larkfield Hall
voice: espeak-en
welcome: 45 s
warm-up: {for: 40 s, movements: [easy march, ankle pump]}
intervals: {work: 30 s, rest: 30 s, rounds: 1, movements: [heel dig, straight punch]}
cool-down: {for: 40 s, movements: [slow march, ankle pump]}
close: 45 s
acknowledge:
  T01: a short class for trying things out
  T04: a short class for trying things out
  T07: a short class for trying things out
"""

SHORTEST_CLASS = """\
title: Short class at Larkfield Hall
voice: espeak-en
welcome: none
warm-up: [easy march: 20 s]
close: none
"""
"""For tests that make several tracks: there is little to say and to mix."""
