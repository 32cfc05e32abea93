"""From the mix and the cue sheet to files people use."""
