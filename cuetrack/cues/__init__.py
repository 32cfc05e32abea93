"""From the plan to a cue sheet: what is said, and when."""
