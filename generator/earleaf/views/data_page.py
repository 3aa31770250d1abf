"""What stands in the folder of published data, in plain words."""

from __future__ import annotations

from dataclasses import dataclass

from .words import Words

ADDRESS = "data/"


@dataclass(frozen=True)
class DataRow:
    """One kind of file: its name, its address as JSON and as CSV, and its schema. `<crop>` stands for an id."""

    name: str
    json: str
    csv: str
    schema: str


@dataclass(frozen=True)
class DataPage:
    rows: tuple[DataRow, ...]


def tables(words: Words) -> tuple[tuple[str, str], ...]:
    """The published rows as tables: what each is called, and its file."""
    return (
        (words.say("Published rows: which part, how many"), "data/v1/csv/sampling.csv"),
        (words.say("Published rows: handling"), "data/v1/csv/handling.csv"),
        (words.say("Published rows: timing"), "data/v1/csv/timing.csv"),
    )


def data_page(words: Words, *, calendars: bool) -> DataPage:
    """Every kind of file, the list of all of them first."""
    (sampling, sampling_csv), (handling, handling_csv), (timing, timing_csv) = tables(words)
    kinds = [
        (words.say("What there is: every file"), "index", "", "index"),
        (words.say("A handout, for any lab"), "crops/<crop>/<protocol>", "", "protocol"),
        (words.say("A handout, for one lab"), "labs/<lab>/<crop>/<protocol>", "", "protocol"),
        (sampling, "evidence", sampling_csv, "evidence"),
        (handling, "evidence-handling", handling_csv, "evidence-handling"),
        (timing, "evidence-timing", timing_csv, "evidence-timing"),
        *([(words.say("Dates of a crop"), "calendars/<crop>", "", "calendar")] if calendars else []),
        (words.say("All labs"), "labs", "", "labs"),
        (words.say("Growth stages"), "stages", "", "growth-stages"),
        (words.say("Rules for handling"), "handling", "", "handling"),
        (words.say("Plant parts"), "parts", "", "parts"),
        (words.say("What is counted"), "units", "", "units"),
        (words.say("Cautions"), "cautions", "", "cautions"),
        (words.say("What ruins a sample"), "faults", "", "faults"),
        (words.say("Sources"), "sources", "", "source-list"),
        (words.say("Languages"), "languages", "", "languages"),
        (words.say("Words of a language"), "languages/<language>", "", "language"),
    ]
    return DataPage(
        tuple(
            DataRow(name, f"data/v1/{file}.json", table, f"data/v1/schema/{schema}.json")
            for name, file, table, schema in kinds
        )
    )
