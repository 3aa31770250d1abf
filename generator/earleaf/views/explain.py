"""Where every value of a protocol comes from, as lines for a terminal."""

from __future__ import annotations

from ..database.load import Database
from ..database.near import near
from ..planning.compare import compare_rows
from ..planning.localise import LocalProtocol, Origin, localise


def explain(db: Database, name: str, lab_id: str | None) -> tuple[list[str], bool]:
    """The lines, and whether the protocol was found."""
    crop_id, _, protocol_id = name.partition("/")
    crop = db.crops.get(crop_id)
    if crop is None:
        return [f"there is no crop {crop_id!r}", f"    {near(crop_id, db.crops)}"], False
    protocol = next((p for p in crop.protocols if protocol_id in (p.protocol, *p.aliases)), None)
    if protocol is None:
        known = [p.protocol for p in crop.protocols]
        return [f"{crop_id} has no protocol {protocol_id!r}", f"    {near(protocol_id, known, 20)}"], False
    if lab_id is not None and lab_id not in db.labs:
        return [f"there is no lab {lab_id!r}", f"    {near(lab_id, db.labs)}"], False
    local = localise(db, crop, protocol, db.labs[lab_id] if lab_id else None)
    return [*_values(local), *_handling(local), *_published(db, local)], True


def _values(local: LocalProtocol) -> list[str]:
    lab = f" for {local.lab.name}" if local.lab else ""
    out = [
        f"{local.crop.crop}/{local.protocol.protocol}{lab}",
        _line("stages", f"{local.window.first} to {local.window.last}", local.window_origin),
    ]
    for i, s in enumerate(local.specimens, 1):
        out.append(f"  bag {i} ({s.kind})")
        count = (
            f"{s.count.min:g}{f' to {s.count.max:g}' if s.count.max else ' or more'} {s.count.unit}"
            if s.count
            else None
        )
        spots = f"{s.spots.each} at each of {s.spots.number} spots" if s.spots else None
        for key, value in (("part", s.part), ("petiole", s.petiole), ("count", count), ("spots", spots)):
            out.append(_line(f"  {key}", value or "not stated by source", s.origin[key] if value else None))
    return out


def _handling(local: LocalProtocol) -> list[str]:
    out = ["  handling"]
    for topic, rule in sorted(local.handling.items()):
        out.append(_line(f"  {topic}", rule.rule.value or rule.rule.say[0].say, rule.origin))
    return out


def _published(db: Database, local: LocalProtocol) -> list[str]:
    out = ["  published"]
    for compared in compare_rows(db, local):
        verdict = "for" if compared.agrees else f"against ({', '.join(compared.differs_in)})"
        row = compared.row
        count = (
            f"{row.count_min:g}{f'-{row.count_max:g}' if row.count_max else ''} {row.count_unit}"
            if row.count_min
            else "-"
        )
        file, line = db.places.rows[row.row]
        out.append(f"    {verdict:20} {row.row:32} {row.part or '-':26} {count:16} {file}:{line}")
    return out


def _line(key: str, value: str, origin: Origin | None) -> str:
    head = f"  {key:12} {value}"
    if origin is None:
        return head
    said = ", ".join(origin.sources) or "no source needed"
    asked = f", asked {origin.checked_on}" if origin.checked_on else ""
    return f"{head:60} <- {origin.layer}: {said}{asked}  ({origin.file}:{origin.line})"
