"""What a region plants: each crop's timing model and the days on which its clocks start."""

from __future__ import annotations

from ..model.crop import Crop
from ..model.development import Development, Leg
from .load import Database
from .timing import codes_of, start_kind


def planted(db: Database, key: str) -> tuple[Crop | None, Development | None]:
    """The crop and the model that `crop` or `crop/model` stands for; None for what is unknown or not named."""
    name, _, wanted = key.partition("/")
    crop = db.crops.get(name)
    if crop is None:
        return None, None
    if not wanted:
        return crop, crop.development[0] if len(crop.development) == 1 else None
    return crop, next((model for model in crop.development if model.model == wanted), None)


def runs_by_itself(db: Database, crop: Crop, leg: Leg) -> bool:
    """Whether a clock needs no day from the user: it starts on a day of the year, or after the last frost."""
    return leg.start == "last-hard-frost" or start_kind(leg, codes_of(db, crop)) == "day"


def events(db: Database, crop: Crop, model: Development) -> tuple[str, ...]:
    """What a user may give a day of: the starts of a model that do not come by themselves, in its own order."""
    return tuple(dict.fromkeys(leg.start for leg in model.legs if not runs_by_itself(db, crop, leg)))
