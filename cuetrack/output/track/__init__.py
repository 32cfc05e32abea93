"""The track and the files beside it: encoders, tags, chapters, captions, cue file."""
