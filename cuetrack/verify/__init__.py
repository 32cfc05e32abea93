"""Measuring a finished track against its cue sheet."""
