"""The whole way from a plan to files, as one short story.

::

    plan file -> Plan -> Timeline -> CueSheet -> Clips -> PlacedSheet -> mix
              -> master -> track + captions + cue file -> verification

Each step is a pure function of its own module; these hand the results on and keep
the edges: the plan file, the clip store, the speech engine, the files written, and
the watcher who is told how far the work has come. ``checking`` reads, words and
places a plan without speaking; ``making`` goes all the way; ``verifying`` measures.
"""
