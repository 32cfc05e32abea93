"""Many tracks: the same work by one process, by several, or by a cluster.

A piece of work is one track. It finds out by itself whether the track is there
already, so that it may be done twice, broken off and begun again, by anyone.
"""
