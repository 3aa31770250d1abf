"""What a drawing shows, in words, for readers who do not see it. English sentences; the caller translates them."""

from __future__ import annotations

from collections.abc import Callable

from .aim import Aim
from .forms import FORMS
from .match import PlantSpec

Say = Callable[..., str]

PLANTS = {
    "corn": "A corn plant",
    "sweet-corn": "A sweet corn plant",
    "sorghum": "A sorghum plant",
    "sugarcane": "A sugarcane stalk",
    "wheat": "A grain plant with several shoots",
    "rice": "A rice plant with several shoots",
    "pasture": "A grass plant with several shoots",
    "turf": "A lawn, seen from the side",
    "soybean": "A soybean plant",
    "bean": "A bean plant",
    "peanut": "A peanut plant",
    "pea": "A pea plant",
    "broadleaf": "A plant with one main stem",
    "cotton": "A cotton plant",
    "sunflower": "A sunflower",
    "tobacco": "A tobacco plant",
    "canola": "A canola plant",
    "canola-rosette": "A young canola plant",
    "pepper": "A pepper plant",
    "eggplant": "An eggplant",
    "cassava": "A cassava plant",
    "potato": "A potato plant",
    "tomato": "A tomato plant",
    "alfalfa": "A stand of alfalfa",
    "clover": "A clover plant on its runner",
    "grape": "A shoot of a grape vine",
    "rosette": "A low plant with leaves from one crown",
    "sugar-beet": "A sugar beet",
    "spinach": "A spinach plant",
    "radish": "A radish plant",
    "celery": "A celery plant",
    "lettuce": "A lettuce plant",
    "cabbage": "A cabbage plant",
    "broccoli": "A broccoli plant",
    "cauliflower": "A cauliflower plant",
    "cucumber": "A cucumber vine",
    "cantaloupe": "A melon vine",
    "squash": "A squash vine",
    "watermelon": "A watermelon vine",
    "sweet-potato": "A sweet potato vine",
    "strawberry": "A strawberry plant",
    "raspberry": "Two raspberry canes",
    "blackberry": "Two blackberry canes",
    "cranberry": "Three cranberry uprights on a runner",
    "onion": "An onion plant",
    "garlic": "A garlic plant",
    "carrot": "A carrot plant",
    "asparagus": "An asparagus fern",
    "banana": "A banana plant",
    "papaya": "A papaya plant",
    "blueberry": "A new shoot of a blueberry bush",
    "blackcurrant": "A new shoot of a blackcurrant bush",
}
SHOOT = "A new shoot of a tree, on older wood"
STAGES = {
    "young": "{plant}, still small.",
    "whorl": "{plant}. The newest leaves are still rolled at the top.",
    "head": "{plant} with its head out.",
    "tillers": "{plant}, before stems rise.",
    "stems": "{plant}. Stems with joints have risen.",
    "boot": "{plant}. The head swells inside the top leaf sheath.",
    "square": "{plant} with flower buds.",
    "bud": "{plant} with flower buds.",
    "bloom": "{plant} in flower.",
    "pods": "{plant} with pods.",
    "pegs": "{plant}. Pegs grow down into the soil.",
    "fruit": "{plant} with fruit.",
    "bulb": "{plant}. Its base has swollen.",
}
CLOSE = {
    "stalk": "The foot of a ripe stalk beside a stick with two marks.",
    "hull": "A nut on its twig, seen close.",
    "spur": "An old branch with two short spurs and one long new shoot.",
}
TASSEL = "{plant} in tassel, with silks on the top ear."
ALTERNATE = "Leaves stand left and right in turn."
PAIRS = "Leaves stand in pairs."
CROWN = "The leaves rise from one crown: small ones in the heart, old flat ones outside."
RUNNER = "The vine runs up to its tip at the top right, with a leaf at each joint."
SHOOTS = "Each shoot has leaves left and right in turn."
COMPOUND = "Each leaf has leaflets in pairs along its stalk and one at the end."
HABIT: dict[str, str] = {
    "corn": ALTERNATE,
    "grain": SHOOTS,
    "legume": ALTERNATE,
    "broadleaf": ALTERNATE,
    "compound": COMPOUND,
    "tree": ALTERNATE,
    "nut": COMPOUND,
    "grape": "Leaves stand left and right in turn. Clusters sit low, each across from a leaf.",
    "vine": RUNNER,
    "rosette": CROWN,
}
OPPOSITE = ("olive", "guava", "coffee")

LEAF = "The newest leaf of full size is dark. Smaller, paler leaves stand nearer the tip."
STALK = "The stalk of the newest full-size leaf is dark. Its blade is pale."
TARGETS: dict[str, str] = {
    "leaf": LEAF,
    "blade": "The blade of the newest full-size leaf is dark. Its stalk is pale. Paler leaves stand nearer the tip.",
    "parted": "Blade and stalk of the newest full-size leaf are dark, with a gap between them.",
    "petiole": STALK,
    "shoot-petiole": STALK,
    "leaflet": "One leaflet of the newest full-size leaf is dark.",
    "top-collar": "The top leaf with a collar is dark. The leaves above it are still rolled.",
    "flag": "The top leaf on the main stem, just under the head, is dark.",
    "ear-leaf": "The leaf at the joint of the top ear is dark.",
    "below-ear": "The leaf one joint below the top ear, on the other side of the stalk, is dark.",
    "below-flag": "The first leaf below the top one is dark. The second is hatched: it is as good.",
    "third": "Leaf three, counted from the top, is dark.",
    "fourth": "Leaf four, counted down from the top leaf with a collar, is dark.",
    "fifth": "Leaf five, counted back from the tip, is dark.",
    "eighth": "Leaf eight, counted back from the tip, is dark.",
    "tenth": "Leaf ten, counted back from the tip, is dark.",
    "third-fourth": "Counted down from the top collar, leaf three is dark. Leaf four is hatched: it is as good.",
    "third-pair-only": "The third pair of leaves from the tip is dark.",
    "third-pair": "The third pair of leaves from the tip is dark. The fourth is hatched: it is as good.",
    "upper-leaves": "The top open leaves of the shoot are dark.",
    "upper-four": "The four top open leaves are dark.",
    "all-leaves": "Every leaf is dark. The stem is pale.",
    "youngest-open": "The youngest leaf that lies open is dark. Only folded or rolled leaves are younger.",
    "harvest": "A leaf low on the stalk, at the height of the next picking, is dark.",
    "cluster-leaf": "The leaf beside a cluster is dark.",
    "cane-leaf": "A full-size leaf near the top of the green cane is dark. The woody cane is pale.",
    "mid": "The leaf halfway between base and tip is dark.",
    "base": "A leaf near the base is dark.",
    "new": "A full-size leaf below the small ones at the tip is dark.",
    "spring-flush": "A leaf in the lower half is dark. The paler leaves above it came later.",
    "flush": "A leaf in the middle is dark. The paler leaves above it came later.",
    "opposite-petiole": "The leaf stalk across from the first cluster is dark. At the second it is hatched: as good.",
    "opposite-leaf": "The leaf across from the lowest cluster is dark, with its stalk.",
    "middle-pair": "One leaf is drawn large. The two leaflets halfway along it are dark.",
    "end-leaflet": "One leaf is drawn large. The single leaflet at its end is dark.",
    "centre-leaflet": "One leaf is drawn large. One leaflet halfway along it is dark.",
    "spur": "All leaves of the short spur without a nut are dark. The spur with a nut and the long shoot are pale.",
    "hull": "The split outer hull is dark. The nut inside is pale.",
    "wrapper": "The leaf that hugs the head is dark. The loose leaves outside are pale.",
    "middle-ring": "A leaf midway between the heart and the outer ring is dark.",
    "first-from-centre": "The first full-size leaf out from the heart is dark.",
    "centre-leaf": "A full-size leaf between the heart and the outer ring is dark.",
    "whole": "Everything above the dashed cut near the soil is dark.",
    "row-section": "Every shoot above the dashed cut near the soil is dark.",
    "top-third": "The top third, above the dashed cut, is dark.",
    "top-half": "The top half, above the dashed cut, is dark.",
    "grazed": "The green top that stock bite off is dark.",
    "top": "The tip above the dashed cut is dark.",
    "middle-third": "The bare stems between the two dashed cuts, in the middle third, are dark.",
    "upper-stem": "The bare stem from its tip down to the dashed cut is dark. The cut is at leaf six from the tip.",
    "stalk": "The piece between the two dashed cuts, at the two marks, is dark.",
    "fern": "The fern stands beside a marked stick. The piece between the two dashed cuts is dark.",
    "clip": "The tips of the blades above the dashed line are dark.",
    "upright": "The green new growth above the dashed cut is dark. The older wood below is pale.",
}
SPECIAL: dict[tuple[str, str], str] = {
    ("sunflower", "fifth"): "Leaf five, counted down from the head, is dark. Leaf six is hatched: it is as good.",
    ("strawberry", "leaf"): "A full-size leaf between the heart and the outer ring is dark, with its stalk.",
    ("strawberry", "blade"): "The blade of a full-size leaf between the heart and the outer ring is dark.",
    ("strawberry", "parted"): "A full-size leaf from between heart and outer ring is dark, its blade and stalk parted.",
    ("potato", "third"): "Leaf three, counted from the tip, is dark.",
    ("banana", "petiole"): "The newest open leaf is number one. The stalk of leaf three is dark.",
    ("papaya", "petiole"): "Counted down from the tip, the stalk of leaf six is dark.",
}
COUNTED = "Small numbers show the count, from 1 to {n}."
COLLARS = "Small numbers count the leaves with a collar, from the lowest to number {n}."
CLUSTERS = "Small numbers stand at the clusters, counted from the base."

PALE = "Here the right leaf is pale, not dark."
ROLLED = "The leaf still rolled at the top is crossed out: too young."
WRONG: dict[tuple[str, str], str] = {
    ("tree", "young"): "A leaf near the tip of the shoot is crossed out: too young.",
    ("tree", "old"): "The leaf at the base of the shoot is crossed out: too old.",
    ("tree", "other"): "The spur with a nut is crossed out: leave it.",
    ("nut", "young"): "A small leaf near the tip of the shoot is crossed out: too young.",
    ("nut", "old"): "A leaf at the base of the shoot is crossed out: too old.",
    ("grape", "young"): "A leaf near the tip of the shoot is crossed out: too young.",
    ("grape", "old"): "The leaf at the base of the shoot is crossed out: too old.",
    ("rosette", "young"): "A small leaf in the heart is crossed out: too young.",
    ("rosette", "old"): "A flat leaf of the outer ring is crossed out: too old.",
    ("bulb", "young"): "The newest leaf, in the middle, is crossed out: too young.",
    ("bulb", "old"): "An outer leaf is crossed out: too old.",
    ("forage", "young"): "A leaf still folded is crossed out: too young.",
    ("forage", "old"): "A low leaf is crossed out: too old.",
    ("tropical", "young"): "The newest leaf at the top is crossed out: too young.",
    ("tropical", "old"): "One of the lowest leaves is crossed out: too old.",
}
LAST_YEAR_LEAF = "A leaf on last year's wood is crossed out: too old."
LONG_SHOOT = "A soft leaf near the tip of the long shoot is crossed out: too young."
NEXT = {
    "young": "The next leaf above the right one is crossed out: too young.",
    "old": "The next leaf below the right one is crossed out: too old.",
}
AWAY = {
    "young": "The leaf {n} places above the right one is crossed out: too young.",
    "old": "The leaf {n} places below the right one is crossed out: too old.",
}
# Where the place decides and not the age.
BY_AGE = ("leaf", "blade", "parted", "petiole", "leaflet", "top-collar", "youngest-open", "harvest", "cane-leaf")
NEXT_PLACE = {
    "young": "The next leaf above the right one is crossed out: not this one.",
    "old": "The next leaf below the right one is crossed out: not this one.",
}
AWAY_PLACE = {
    "young": "The leaf {n} places above the right one is crossed out: not this one.",
    "old": "The leaf {n} places below the right one is crossed out: not this one.",
}


RULER: dict[tuple[str, str], str] = {
    ("stalk", "low"): "6 in (15 cm)",
    ("stalk", "high"): "14 in (36 cm)",
    ("fern", "low"): "17 in (43 cm)",
    ("fern", "high"): "35 in (89 cm)",
}
"""What stands at the two marks of a ruler, by the part that is cut between them."""


def ruler_labels(spec: PlantSpec, say: Say) -> dict[str, str]:
    """The labels `low` and `high` of a drawing with a ruler; two measures stand in two rows."""
    texts = {key: say(text) for (target, key), text in RULER.items() if target == spec.target}
    return {key: text.replace(" (", "\n").removesuffix(")") for key, text in texts.items()}


def describe(spec: PlantSpec, say: Say) -> str:
    """Which plant, how its leaves stand, and which leaf stands out, counted as the picture counts.

    `say(sentence, **values)` translates one English sentence and fills its {places}, as `Words.say` does.
    """
    kind = _kind(spec.form)
    aim = FORMS[spec.form].aim(spec.form, spec.stage, spec.target)
    out = [say(_opening(kind, spec), plant=say(PLANTS.get(spec.form, SHOOT)))]
    if habit := _habit(kind, spec.form) if aim.right and spec.target not in CLOSE else "":
        out.append(say(habit))
    if spec.wrong:
        sentence = _wrong(kind, spec, aim)
        out += [say(PALE), say(sentence, n=abs(aim.wrong()[spec.wrong] - aim.right[0]))]
        return " ".join(out)
    out.append(say(SPECIAL.get((spec.form, spec.target)) or TARGETS[spec.target]))
    if aim.counted:
        told = COLLARS if spec.target == "top-collar" else CLUSTERS if kind == "grape" else COUNTED
        out.append(say(told, n=len(aim.counted)))
    return " ".join(out)


def _kind(form: str) -> str:
    """The module that draws a form; a strawberry is told like a rosette."""
    return "rosette" if form == "strawberry" else FORMS[form].draw.__module__.rsplit(".", 1)[-1]


def _opening(kind: str, spec: PlantSpec) -> str:
    if spec.target in CLOSE:
        return CLOSE[spec.target]
    if kind == "corn" and spec.stage == "head" and "corn" in spec.form:
        return TASSEL
    if kind == "rosette" and spec.stage == "head":
        return "{plant} with its head formed."
    if kind in ("tree", "nut"):
        return "{plant}."
    return STAGES.get(spec.stage, "{plant}.")


def _habit(kind: str, form: str) -> str:
    return PAIRS if form in OPPOSITE else HABIT.get(kind, "")


def _wrong(kind: str, spec: PlantSpec, aim: Aim) -> str:
    """Where the crossed leaf stands."""
    key, place = spec.wrong, aim.wrong()[spec.wrong]
    if spec.target == "spur" and key == "young":
        return LONG_SHOOT
    if spec.target in ("spring-flush", "flush") and key == "old":
        return LAST_YEAR_LEAF
    if key == "young" and spec.target in ("top-collar", "leaf") and kind in ("corn", "grain"):
        return ROLLED
    if (kind, key) in WRONG:
        return WRONG[kind, key]
    one = abs(place - aim.right[0]) == 1
    if spec.target in BY_AGE:
        return (NEXT if one else AWAY)[key]
    return (NEXT_PLACE if one else AWAY_PLACE)[key]
