"""Music of our own: composed from data, played by synthesis, free of others' rights.

Every sound is computed here, so nobody else's recording is in a track. A bed is
written anew for each class: `tempo` finds how many beats each stretch holds, `scenes`
say how full it is, `writing` puts notes on the beats, `instruments` and `drums`
sound them, `rendering` sums them up, and `bed` keeps what is finished.
"""
