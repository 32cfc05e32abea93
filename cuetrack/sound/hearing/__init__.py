"""What listeners of an age can follow: thresholds, band levels, the SII.

``sii`` holds the Speech Intelligibility Index, ``thresholds`` hearing by age,
``bands`` the way from samples to band levels, ``listeners`` who is counted in a
group. All are pure functions of arrays.

Limits, wherever these numbers are read: the index knows nothing of
reverberation, of attention, or of ageing beyond thresholds; the hearing tables
describe people screened for ear disease, so a real class hears worse; and no
conformity to any standard is claimed.
"""
