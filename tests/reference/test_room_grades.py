"""The room check beside the speech transmission index, which is not ours.

``transmission_index`` is written from the formulas of IEC 60268-16 and agrees with the
package phonometry 3.3.0, whose figures are recorded here.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.reference.transmission_index import (
    MODULATIONS_HZ,
    of_modulation,
    transmission_index,
    weighted,
)

pytestmark = pytest.mark.outside

RATE_HZ = 48_000
PHONOMETRY = {
    (0.3, 40): 0.8325, (0.3, 0): 0.4583, (1.0, 40): 0.6020, (1.0, 10): 0.5416,
    (2.0, 10): 0.4238, (3.5, 40): 0.3495,
}  # fmt: skip


@pytest.mark.parametrize(("echo", "index"), PHONOMETRY.items())
def test_the_transmission_index_is_that_of_another_hand(echo, index):
    """Within 0.003 of phonometry; of the closed form for an even decay within 0.025."""
    echo_s, snr_db = echo
    seconds = np.arange(int(RATE_HZ * max(1.2 * echo_s, 0.5))) / RATE_HZ
    response = np.random.default_rng(7).standard_normal(seconds.size)
    response *= 10 ** (-3 * seconds / echo_s)
    found = transmission_index(response, RATE_HZ, snr_db=snr_db)
    assert found == pytest.approx(index, abs=0.003)
    left = 1 / np.sqrt(1 + (2 * np.pi * MODULATIONS_HZ * echo_s / 13.8155) ** 2)
    left /= 1 + 10 ** (-snr_db / 10)
    assert found == pytest.approx(
        weighted(np.full(7, of_modulation(left).mean())), abs=0.025
    )
