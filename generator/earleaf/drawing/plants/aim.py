"""Which leaves of a plant are right, which are wrong, and in which order a scout counts them. No drawing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Aim:
    """Places on one plant, numbered as its module numbers them.

    `right` are the leaves to take; `either` are as good as those. `young`, `old` and `other` are the leaves that scouts
    take by mistake. `counted` are the places that get the numbers 1, 2, 3, in this order.
    """

    right: tuple[int, ...] = ()
    either: tuple[int, ...] = ()
    young: int | None = None
    old: int | None = None
    other: int | None = None
    counted: tuple[int, ...] = ()

    def wrong(self) -> dict[str, int]:
        """The wrong leaves that this plant has, by what is wrong with them."""
        found = {"young": self.young, "old": self.old, "other": self.other}
        return {key: place for key, place in found.items() if place is not None}

    def marked(self, wrong: str = "") -> tuple[int, ...]:
        """The places that stand out: the right ones, or the wrong one."""
        return (self.wrong()[wrong],) if wrong else self.right + self.either


NOTHING = Aim()


def from_tip(
    n: int, place: int, *, young: int, old: int, either: int = 0, count: int = 0, parts: tuple[int, ...] = ()
) -> Aim:
    """An aim on a stem of n leaves, numbered from the ground; all places here are counted from the tip.

    `count` numbers the leaves 1 to `count` from the tip, `parts` replaces the right ones. A wrong place that is not
    above (or below) the right one is left out.
    """
    last = either or place
    return Aim(
        right=tuple(n - k for k in parts) or (n - place,),
        either=(n - either,) if either else (),
        young=n - young if young < place else None,
        old=n - min(old, n) if min(old, n) > last else None,
        counted=tuple(n - k for k in range(1, count + 1)),
    )
