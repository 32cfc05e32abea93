"""From a cue's words to a clip of sound."""
