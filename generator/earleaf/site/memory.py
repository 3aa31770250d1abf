"""What the last build of a preview made, by a digest of all it was made from: no work is done twice."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from hashlib import sha256
from typing import Generic, TypeVar

from ..database.load import Database
from ..model.crop import Crop
from ..model.manual import Manual
from ..rendering.pages import Pages

T = TypeVar("T")


class Memory(Generic[T]):
    """Results of this build and of the one before. What a build does not ask for is forgotten with the next."""

    def __init__(self) -> None:
        self._before: dict[str, T] = {}
        self._now: dict[str, T] = {}

    def next_build(self) -> None:
        """From here on results belong to another build."""
        self._before, self._now = self._now, {}

    def recall(self, keys: Sequence[str], make: Callable[[list[int]], Iterator[T]]) -> Iterator[T]:
        """A result for each key, in order. `make` is handed the places of those that are not known, all at once."""
        known = {**self._before, **self._now}
        made = make([i for i, key in enumerate(keys) if key not in known])
        for key in keys:
            self._now[key] = known[key] if key in known else next(made)
            yield self._now[key]


def crop_keys(db: Database, manual: Manual, pages: Pages, crops: Sequence[Crop], *, printed: bool) -> list[str]:
    """For each crop a digest of all its pages rest on: its own file, and everything but the files of other crops."""
    files = {name: db.places.at("crop", name)[0] for name in db.every_crop()}
    apart = set(files.values())
    shared = sha256(repr((manual, pages.words.language, pages.home, printed)).encode())
    for name in sorted(db.digests.keys() - apart):
        shared.update(f"{name}\0{db.digests[name]}\n".encode())
    base = shared.hexdigest()
    return [f"{base} {crop.crop} {db.digests.get(files[crop.crop], '')}" for crop in crops]
