"""Plain words for the reasons of a visit plan: why a day is good, why another is not, and what to ask."""

from __future__ import annotations

from datetime import date

from ..planning.working_days import Reason, Why
from .words import DAYS, Words


def say(sentence: str) -> str:
    """Marks a sentence of a table, so that it is found for translation; `Words.say` then says it."""
    return sentence


SHORT_DAYS = (say("Mon"), say("Tue"), say("Wed"), say("Thu"), say("Fri"), say("Sat"), say("Sun"))

SENTENCES: dict[Why, tuple[str, ...]] = {
    Why.PAST: (say("This day is past."), say("The last good day was {first}. It is past.")),
    Why.WEEKEND: (say("It is a weekend."),),
    Why.NOT_A_VISIT_DAY: (say("Your team makes no visits on this day of the week."),),
    Why.HOLIDAY: (say("It is a holiday."),),
    Why.MAY_BE_TOO_EARLY: (
        say("It may be too early. Look at the crop first."),
        say("In some years the stage comes as late as {first}. Look at the crop first."),
    ),
    Why.MAY_BE_TOO_LATE: (
        say("It may be too late. Look at the crop first."),
        say("In some years the stage is over after {first}. Look at the crop first."),
    ),
    Why.WAITS_FOR_MAIL: (
        say("The sample waits for a mailing day."),
        "",
        say("The sample waits for the mail until {last}."),
    ),
    Why.NO_MAILING_DAY: (
        say("No mailing day comes in time."),
        say("The sample is ready on {first}. No mailing day follows in time."),
    ),
    Why.ARRIVES_CLOSED: (
        say("The parcel may come when the lab takes none in."),
        say("The parcel may come on {first}, when the lab takes none in."),
    ),
    Why.LAB_CLOSED: (
        say("The parcel may come while the lab is closed."),
        say("The parcel may come on {first}, while the lab is closed."),
        say("The parcel may come on {first}, while the lab is closed. The lab opens it on {last}."),
    ),
    Why.RESTS_WEEKEND: (say("The parcel would lie in the mail over a weekend."),),
    Why.RESTS_HOLIDAY: (
        say("The parcel would lie in the mail over a holiday."),
        say("The parcel would lie in the mail over the holiday on {first}."),
    ),
    Why.NOT_FRESH: (
        say("The leaves would be too old when they reach the lab."),
        "",
        say("The leaves keep fresh until {first}. The lab may open them only on {last}."),
    ),
    Why.CUT_OFF: (say("The parcel must be at the lab by {clock}."),),
    Why.AFTER_CUT_OFF: (say("The mail comes after {clock}. For the lab the parcel comes a day later."),),
    Why.IN_TIME: (
        say("The result comes in time."),
        "",
        say("The result is there by {first}. You need it by {last}."),
    ),
    Why.TOO_LATE: (
        say("The result may come too late."),
        "",
        say("The result may come as late as {first}. You need it by {last}."),
    ),
    Why.ONLY_IF_FAST: (
        say("The result is in time only if all goes fast."),
        say("If all goes fast, the result comes on {first}."),
    ),
    Why.RESULT_DAY_UNKNOWN: (say("The lab does not say how long a result takes. Ask the lab."),),
    Why.NO_DAY_IN_TIME: (
        say("No day is early enough for a result in time."),
        say("You need the result by {first}. No day is early enough for that."),
    ),
    Why.NO_OPENING: (
        say("No source gives one date for the start. Watch the crop."),
        "",
        say("The start lies between {first} and {last}. Watch the crop."),
    ),
    Why.NO_CLOSING: (say("No source gives one date for the end. Watch the crop."),),
    Why.NO_WINDOW: (say("The end of this window may come before its start. Watch the crop."),),
    Why.NO_TRANSIT: (say("Nobody says how long the mail takes to this lab. Ask the lab."),),
    Why.NO_RECEIVING_DAYS: (say("The lab does not say on which days it takes parcels in. Ask the lab."),),
    Why.NO_TURNAROUND: (say("The lab does not say how long a result takes. Ask the lab."),),
    Why.NO_DRYING_TIME: (say("Nobody says how long the leaves dry for this lab. Ask the lab."),),
    Why.NO_FRESH_LIMIT: (say("The lab does not say how long fresh leaves keep. Ask the lab."),),
    Why.NO_DECISION_DATE: (say("No day is set by which you decide."),),
}
"""By id: the words without a day, then those with one, then those with two. Empty: the words with fewer days serve."""


def reason_text(words: Words, reason: Reason) -> str:
    """One reason as one or two whole sentences, with the days that it names."""
    days = [week_day(words, day) for day in reason.days]
    sentence = next(filter(None, reversed(SENTENCES[reason.why][: len(days) + 1])))
    return words.say(sentence, **dict(zip(("first", "last"), days, strict=False)), clock=reason.clock or "")


def week_day(words: Words, day: date) -> str:
    """'Monday 28 June'."""
    return words.say(
        "{weekday} {day}",
        weekday=words.say(list(DAYS.values())[day.weekday()]),
        day=words.month_day(f"{day.month:02}-{day.day:02}"),
    )


def brief_day(words: Words, day: date) -> str:
    """'Mon 28 Jun', for a narrow column."""
    return words.say("{weekday} {day}", weekday=words.say(SHORT_DAYS[day.weekday()]), day=brief_date(words, day))


def brief_date(words: Words, day: date) -> str:
    """'28 Jun', where the day of the week does not matter."""
    return words.say("{day} {short_month}", day=day.day, short_month=words.short_month(day.month))
