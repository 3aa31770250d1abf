"""A whole manual small enough to read: two crops, one invented lab, a chapter. The fault tests break it one way each."""
# ruff: noqa: E501  (the data below is written as its authors write it, one record a line)

from __future__ import annotations

from pathlib import Path

FILES: dict[str, str] = {}

FILES["manual.yml"] = """\
title: Small manual
team: Fernhollow Scouts (invented)
invented: true
site_url: https://manual.fernhollow.example/
edition: 2026-11-25
crops: [corn, bean]
labs: [stonewell]
protocols_folder: protocols
sources_file: sources.yml
chapters_folder: docs
"""

FILES["sources.yml"] = """\
sources:
- {id: stonewell-note, authors: Stonewell (invented), title: Note, publisher: Stonewell (invented), kind: invented, read: original, family: stonewell, invented: true}
"""

FILES["docs/index.md"] = """\
# Start here

Take the leaf on the page and no other [@uni-a].

<!-- rules: bag -->
"""

FILES["labs/stonewell.yml"] = """\
lab: stonewell
name: Stonewell Leaf Lab
place: Fernhollow (invented)
invented: true
source: stonewell-note
checked_on: 2026-10-06
about: Fast, and strict about names.
receives: {days: [mon, tue], until: "15:00"}
closed:
- {from: 2027-07-02, to: 2027-07-05, why: stocktaking}
transit:
  days_min: 1
  days_max: 2
fee: {amount: 24, currency: USD}
handling:
  wash:
    value: wash
    say:
    - Rinse every leaf before it wilts.
protocols:
- crop: corn
  protocol: silk
  part: opposite-leaf
  count: {min: 25, max: 25, unit: leaves}
  spots: {number: 5, each: 5}
  say:
  - Take the leaf on the other side of the stalk.
"""

FILES["protocols/sources.yml"] = """\
sources:
- {id: common-practice, authors: The trade, title: Custom, publisher: Nobody, kind: practice, read: not-a-publication, family: common-practice}
- {id: from-memory, authors: The maintainers, title: Recalled, publisher: Nobody, kind: memory, read: not-a-publication, family: from-memory}
- {id: uni-a, authors: A. Writer, year: 2019, title: Taking leaves, publisher: First University, kind: university, read: original, family: uni-a}
- {id: uni-b, authors: B. Writer, year: 2021, title: Leaves again, publisher: Second University, kind: university, read: original, family: uni-b}
"""

FILES["protocols/vocabulary/plant-parts.yml"] = """\
parts:
- {id: whole-tops, name: the whole plant above ground, family: whole-plant, portion: All above the cut., find: Cut above the soil., item: plants}
- {id: ear-leaf, name: the ear leaf, family: ear, portion: The whole blade., find: The leaf at the top ear., item: leaves}
- {id: opposite-leaf, name: the leaf opposite the ear, family: ear, portion: The whole blade., find: Below and across., item: leaves, drawn_as: leaf-below-opposite-ear}
- {id: trifoliate-leaf, name: the newest three-part leaf, family: trifoliate, portion: Three leaflets., find: Near the top., item: leaves}
"""

FILES["protocols/vocabulary/units.yml"] = """\
units:
- {id: plants, one: plant, many: plants}
- {id: leaves, one: leaf, many: leaves}
- {id: petioles, one: petiole, many: petioles}
- {id: locations, one: place, many: places}
- {id: spots, one: spot, many: spots}
"""

FILES["protocols/vocabulary/cautions.yml"] = """\
footer: Follow the product label and your licensed adviser.
always: [rei]
cautions:
- {id: rei, topic: treated fields, do: Ask what was sprayed and when., source: [uni-a]}
- {id: blades, topic: blades, do: Cut away from your hand., source: [common-practice]}
"""

FILES["protocols/vocabulary/faults.yml"] = """\
faults:
- {id: wrong-part, fault: The wrong leaf., then: Take the right leaf., source: [uni-a]}
"""

FILES["protocols/handling.yml"] = """\
handling:
  hour:
    value: cool hours
    say: [Go in the cool hours.]
  bag:
    value: paper
    say: [Use a paper bag.]
    basis: [bag.1]
  wash:
    value: no
    say: [Do not wash it.]
  dry:
    say: [Air-dry it.]
  mix:
    say: [One part to a bag.]
"""

FILES["protocols/groups/row-crops.yml"] = """\
group: row-crops
name: Row crops
handling:
  dry:
    value: air-dry
    say: [Air-dry it in the open bag.]
"""

FILES["protocols/stages/corn-stages.yml"] = """\
system: corn-stages
name: Corn, collars
source: uni-a
count:
- Count the leaves that show a collar.
stages:
- {code: VE, name: coming up, look: The first tip is through.}
- series: V
  first: 1
  last: 6
  name: "{n} collars"
  look: Count the collars.
- {code: VT, name: tassel, look: The tassel is out.}
- {code: R1, name: silk, look: Silks show.}
- {code: R2, name: blister, look: Kernels are blisters.}
"""

FILES["protocols/stages/bean-stages.yml"] = """\
system: bean-stages
name: Bean, flowers
source: uni-b
stages:
- {code: R1, name: first flower, look: One flower is open.}
- {code: R2, name: full bloom, look: Flowers at the top.}
- {code: R3, name: first pods, look: Small pods show.}
"""

FILES["protocols/crops/corn.yml"] = """\
crop: corn
name: Corn
latin: Zea mays
group: row-crops
stage_system: corn-stages
form: grass
handling:
  hour:
    value: early
    say: [Go early. Corn rolls its leaves in the heat.]
gaps:
- from: V4
  to: V6
  why: No source we read takes a leaf here.
protocols:
- protocol: young
  title: young plants
  short_id: cyng
  checked_on: 2026-11-25
  window: {from: VE, to: V3}
  see:
  - Plants are below your knee.
  take:
  - part: whole-tops
    count: {min: 20, max: 30, unit: plants}
    spots: {number: 5, each: 4}
    basis: [corn.uni-a.1]
  cautions: [blades]
- protocol: silk
  title: tassel to silk
  short_id: cslk
  aliases: [tassel]
  checked_on: 2026-11-20
  window: {from: VT, to: R1}
  see:
  - The tassel is out or silks show.
  take:
  - part: ear-leaf
    count:
      min: 15
      max: 25
      unit: leaves
    spots: {number: 4, each: 5}
    how:
    - Find the top ear. Take the leaf at its foot.
    basis: [corn.uni-a.2]
  differs: [corn.uni-b.1]
  handling:
    mix:
      value: blade only
      say: [Leave the stalk out.]
  result:
  - Most ranges are made for this leaf.
"""

FILES["protocols/crops/bean.yml"] = """\
crop: bean
name: Bean
latin: Phaseolus vulgaris
group: row-crops
stage_system: bean-stages
also_rows: [bean.uni-b.1]
protocols:
- protocol: bloom
  title: bloom
  short_id: bblm
  checked_on: 2026-11-25
  window: {from: R1, to: R2}
  see:
  - The first flowers are open.
  take:
  - part: trifoliate-leaf
    count: {min: 20, max: 30, unit: leaves}
    spots: {number: 5, each: 5}
    basis: [bean.uni-a.1]
"""

FILES["protocols/evidence/sampling.csv"] = """\
row,source,crop,stage_text,stage_from,stage_to,condition,part,count_min,count_max,count_unit,note
corn.uni-a.1,uni-a,corn,seedlings,VE,V5,,whole-tops,20,30,plants,
corn.uni-a.2,uni-a,corn,tassel to silk,VT,R1,,ear-leaf,15,25,plants,
corn.uni-b.1,uni-b,corn,silk,R1,,,opposite-leaf,25,30,leaves,
bean.uni-a.1,uni-a,bean,bloom,R1,R2,,trifoliate-leaf,20,30,leaves,
bean.uni-b.1,uni-b,bean,first pods,R3,,,trifoliate-leaf,,,,
"""

FILES["protocols/evidence/handling.csv"] = """\
row,topic,rule,value,unit,source
bag.1,bag,"Paper, never plastic.",paper,,uni-a
bag.2,bag,Envelopes of paper.,paper,,uni-b
"""

FILES["protocols/published-ids.txt"] = """\
# crop/protocol and its short id, as once published
corn/young cyng
corn/silk cslk
corn/tassel cslk
bean/bloom bblm
"""


def write(folder: Path, files: dict[str, str] | None = None) -> Path:
    """The small manual below a folder; the path of its manual.yml."""
    for name, text in (files or FILES).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8", newline="\n")
    return folder / "manual.yml"
