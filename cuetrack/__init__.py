"""Timed plans of seated exercise classes become spoken tracks, measured on time."""
