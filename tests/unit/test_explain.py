"""`earleaf explain`: every value with its origin, sources for and against."""

from __future__ import annotations

from earleaf.site.build import Prepared
from earleaf.views.explain import explain


def test_base_and_lab_origins_are_named(demo: Prepared) -> None:
    lines, fine = explain(demo.db, "corn/tassel-to-silk", "pebblecross")
    text = "\n".join(lines)
    assert fine
    part = next(line for line in lines if line.strip().startswith("part"))
    assert "leaf-below-opposite-ear" in part and "lab: pebblecross-call, asked 2026-09-21" in part
    assert "demo_scenario/labs/pebblecross.yml:" in part
    assert "base: " in text and "group: " in text and "protocol: " in text


def test_sources_for_and_against_are_listed(demo: Prepared) -> None:
    base = explain(demo.db, "corn/tassel-to-silk", None)[0]
    assert any("for " in line and "corn.mu-field.3" in line for line in base)
    assert any("against (part)" in line and "corn.umn-plant.2" in line for line in base)


def test_unknown_names_get_a_hint(demo: Prepared) -> None:
    for name, lab, hint in (
        ("cornn/x", None, "'corn'"),
        ("corn/tassel-to-slk", None, "'tassel-to-silk'"),
        ("corn/tassel-to-silk", "larkmor", "'larkmoor'"),
    ):
        lines, fine = explain(demo.db, name, lab)
        assert not fine and hint in "\n".join(lines)
