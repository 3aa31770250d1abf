"""The command, killed at moments of chance: the old site or the new one is there, whole, and the next build works."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from killing import KILLS, many_kills, small_trial


def test_killed_twelve_times_the_site_is_whole(tmp_path: Path) -> None:
    trial = small_trial(tmp_path, seed=12)
    kills = 0
    for number in range(40):
        trial.put_back()
        kills += trial.kill(publishing=number % 2 == 0) is not None
        if kills % 6 == 0:
            trial.mend()
        if kills == 12:
            break
    assert kills == 12


@pytest.mark.slow
def test_killed_two_hundred_times_everything_is_whole(tmp_path: Path) -> None:
    killed = Counter(one.what for one in many_kills(tmp_path, seed=200))
    assert killed == KILLS and killed.total() == 200
