"""No window is surer than published models are: calibrated ones, which know the variety, miss by these days.

None of the sources speaks of the models of this database, so nothing is worked out from their figures. They are a
floor: a count that does not know the variety must not claim to do better.
"""

from __future__ import annotations

from datetime import date

import pytest

from earleaf.database.manual import ManualDatabase
from earleaf.planning.calendars import crop_seasons
from earleaf.site.build import Prepared

SKILL = [
    ("soybean", None, ("R1",), 3.1),
    ("soybean", None, ("R7",), 5.5),
    ("wheat", "winter-wheat-two-legs", ("6", "8", "10.1"), 6.1),
]
"""Crop, model, stages, error in days. Soybean: Archontoulis and others 2014, Environmental Modelling and Software, root
mean square error of first flower and of maturity over 40 cultivars. Winter wheat: Wallach and others 2023, 27 modelling
groups in France, median mean absolute error of stem elongation and heading."""


@pytest.mark.parametrize(("crop", "model", "stages", "error_days"), SKILL)
def test_a_window_is_as_wide_as_the_published_error_on_both_sides(
    crop: str, model: str | None, stages: tuple[str, ...], error_days: float, demo: Prepared
) -> None:
    db = demo.db
    assert isinstance(db, ManualDatabase)
    widths = []
    for season in crop_seasons(db, db.crops[crop]):
        if model is not None and season.model.model != model:
            continue
        for planting in season.plantings:
            for stage in planting.stages:
                p10, p50, p90 = (stage.spread.p10, stage.spread.p50, stage.spread.p90)
                if stage.code in stages and p10 and p50:
                    widths.append(((p50 - p10).days, ((p90 or date.max) - p50).days))
    assert len(widths) >= len(stages)
    assert min(min(pair) for pair in widths) >= error_days, widths
