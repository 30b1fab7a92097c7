"""One fault as a short story: what the meters show beside a healthy set, who notices, who is hurt."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby

from msgspec import Struct

from auditor.bench.prediction import Readings
from auditor.logic.interval import Interval
from auditor.plan.plan import Plan
from auditor.report.fault_text import figures, played_as
from auditor.report.notice import CAUTIONS
from auditor.report.policy_text import policy_lines
from auditor.report.prediction import glow_said, said
from auditor.report.style import Style, shown
from auditor.report.whatif import (
    MEANS,
    MEANS_NOT,
    NOT_NEEDED,
    Outcomes,
    assumed_said,
    harm_said,
    harms_a_person,
    missing_safeguards,
    not_contained_lines,
)
from auditor.rulebook.policy import Policy
from auditor.whatif.story import Beat, Story
from auditor.whatif.whatif import Verdict

NOTHING_TELLS = "nothing tells it from a healthy set"
LOOKED_FOR = {True: "the plan looks for that here, and stops", False: "the plan does not say to look for that and stop"}


class Meter(Struct, frozen=True):
    """A reading that may tell a fault. element: what of the chain shows it, nothing where any meter may; shows: how it is
    said; unseen: how where no meter shows it; kind: what it is a quantity of; signs: how a sign of it begins."""

    element: tuple[str, ...]
    shows: str
    unseen: str
    kind: str
    read: Callable[[Readings], Interval | None]
    signs: tuple[str, ...]

    def on(self, plan: Plan) -> bool:
        return not self.element or any(map(plan.has, self.element))


METERS = (
    Meter(("voltmeter",), "the set's meter shows", "the set gets", "voltage", lambda r: r.set_voltage, ("the set's meter",)),
    Meter(("ammeter", "wattmeter"), "the current is", "the current is", "current", lambda r: r.current,
          ("the current", "the ammeter")),
    Meter((), "B+ is", "B+ is", "voltage", lambda r: r.b_plus, ("B+", "the meter at B+")),
)


def story_lines(story: Story, plan: Plan, rules: Outcomes, assumed: Sequence[str], style: Style,
                policy: Policy | None = None) -> Iterator[str]:
    """The story of one fault, a paragraph a step; steps at which nothing new shows stand together."""
    outcome, fault = story.outcome, story.outcome.fault
    yield style.strong(style.wrapped(f"What if {fault.says}?"))
    yield style.wrapped(f"{fault.fault}, {outcome.topic}", first="  ")
    if changes := played_as(outcome.world):
        yield style.wrapped(f"{changes}.", first="  Played as: ", rest="    ")
    if outcome.assumed:
        yield style.wrapped(assumed_said(outcome), first="  ", rest="    ")
    yield ""
    for _, run in groupby(enumerate(story.beats), key=lambda numbered: _alike(plan, *numbered)):
        yield style.wrapped(_paragraph([beat for _, beat in run], plan), rest="  ")
    if not story.beats and outcome.verdict not in UNPLAYED:
        yield style.wrapped("On the plan as written it never surely acts, and no sign of it is sure to show.")
    if story.beats or outcome.verdict not in UNPLAYED:
        yield ""
    yield from _end(story, rules, style)
    yield style.wrapped(MEANS, first="  ")
    yield style.wrapped(MEANS_NOT, first="  ")
    yield from (style.faint(style.wrapped(line, first="  Assumed: ", rest="    ")) for line in assumed)
    yield from policy_lines(policy, style)
    yield style.wrapped(CAUTIONS)


def _alike(plan: Plan, number: int, beat: Beat) -> object:
    """What is the same for steps that are told together: no sign, no harm, and the same meters off by as much as words say.
    A step with something new stands alone."""
    if beat.signs or beat.harms:
        return number
    told = tuple(meter.shows for meter, _, _ in _telling(beat))
    return told, _glows(beat, plan) if told or _glow_tells(beat) else None


def _telling(beat: Beat) -> Iterator[tuple[Meter, Interval, Interval]]:
    """The readings that a healthy set surely does not show."""
    if beat.well is None or beat.faulty is None:
        return
    for meter in METERS:
        got, well = meter.read(beat.faulty), meter.read(beat.well)
        if got is not None and well is not None and got.meet(well) is None:
            yield meter, got, well


def _glow_tells(beat: Beat) -> bool:
    return (beat.faulty is not None and beat.well is not None and bool(beat.faulty.glow) and bool(beat.well.glow)
            and not set(beat.faulty.glow) & set(beat.well.glow))


def _glows(beat: Beat, plan: Plan) -> str:
    if beat.faulty is None or beat.well is None or not beat.faulty.glow or not plan.has("limiter"):
        return ""
    healthy = f" where a healthy set leaves it {glow_said(beat.well.glow)}" if _glow_tells(beat) else ""
    return f"the lamp is {glow_said(beat.faulty.glow)}{healthy}"


def _signs(beat: Beat) -> tuple[str, ...]:
    """The signs at which the plan stops, or else those that it does not say to look for."""
    told = tuple(words for words, told in beat.signs if told)
    return told or tuple(words for words, _ in beat.signs)


def _readings(beat: Beat, plan: Plan) -> Iterator[str]:
    """What tells the fault here, each with its numbers; what a sign says itself is not said twice."""
    signs, tells = _signs(beat), list(_telling(beat))
    matters = tells or _glow_tells(beat) or beat.signs or beat.harms
    if matters and (glow := _glows(beat, plan)) and not any(words.startswith("the lamp") for words in signs):
        yield glow
    for meter, got, well in tells:
        if not any(words.startswith(meter.signs) for words in signs):
            shows, where = (meter.shows, "where a healthy set shows") if meter.on(plan) else (meter.unseen, "instead of")
            unseen = "" if meter.on(plan) else ", and no meter shows it"
            yield f"{shows} {figures(got, meter.kind)} {where} {figures(well, meter.kind)}{unseen}"


def _sign(words: str, beat: Beat) -> str:
    """A sign in words, with what a healthy set shows where it does not say so."""
    for meter, _, well in _telling(beat):
        if words.startswith(meter.signs) and " instead of " not in words:
            return f"{words} (a healthy set shows {figures(well, meter.kind)})"
    return words


def _paragraph(run: Sequence[Beat], plan: Plan) -> str:
    """One step, or a run of steps, in a few sentences."""
    last = run[-1]
    sentences = []
    if last.acts:
        readings = "; ".join(_readings(last, plan))
        if readings:
            sentences = [f"in the end {readings}" if len(run) > 1 else readings]
        elif not last.signs and not last.harms:
            sentences = [NOTHING_TELLS]
    if signs := _signs(last):
        told = any(told for _, told in last.signs)
        sentences.append(f"{'; '.join(_sign(words, last) for words in signs)}. {_capital(LOOKED_FOR[told])}")
    sentences += [f"HARM: {harm_said(harm, last.step)}".rstrip(".") for harm in last.harms]
    return f"{_head(run)}: {'. '.join([*sentences[:1], *map(_capital, sentences[1:])])}."


def _capital(sentence: str) -> str:
    return sentence[0].upper() + sentence[1:]


def _head(run: Sequence[Beat]) -> str:
    first, last = run[0], run[-1]
    dials = [beat.dial for beat in (first, last) if beat.dial is not None]
    if len(run) == 1:
        words = f"Step {first.step.number}, {shown(first.step.in_words())}"
        says_dial = not first.acts or not dials or first.step.verb == "set_dial"
        return words if says_dial else f"{words}, dial {said(dials[0], 'voltage')}"
    one = first.step.number == last.step.number
    steps = f"Step {first.step.number}, {len(run)} stages" if one else f"Steps {first.step.number} to {last.step.number}"
    ends = list(dict.fromkeys(said(dial, "voltage") for dial in dials)) if last.acts else []
    at_dial = f", dial {' to '.join(ends)}" if ends else ""
    return steps + at_dial + (", wherever it acts" if last.place - first.place >= len(run) else "")


UNPLAYED = {
    Verdict.RULED_OUT: "The plan rules it out, for it states what this asks: {0.ruled_out_by}.",
    Verdict.CANNOT_BE: "It cannot be in this set or on this bench: it is only possible when {0.possible_when}.",
    Verdict.NOT_PLAYED: "It is not played. {0.not_simulated}",
}


def _end(story: Story, rules: Outcomes, style: Style) -> Iterator[str]:
    """How it ends: what contains it, or what gets through and which safeguard is missing."""
    outcome = story.outcome
    fault = outcome.fault
    told = [harm for beat in story.beats for harm in beat.harms]
    if outcome.verdict in UNPLAYED:
        yield style.wrapped(UNPLAYED[outcome.verdict].format(fault))
    elif outcome.verdict is Verdict.NOT_CONTAINED:
        yield from not_contained_lines(outcome, rules, style, told)
    elif outcome.verdict is Verdict.CONTAINED:
        either = " or by " if outcome.any_of_them else " and by "
        one = "either" if len(outcome.contained_by) == 2 else "any one"
        enough = f", {one} of which is enough" if outcome.any_of_them else ""
        by = either.join(outcome.contained_by)
        yield style.wrapped(f"{by}{enough}. Without that: {fault.harm}", first="Contained by ", rest="  ")
    elif outcome.verdict is Verdict.HARMLESS:
        yield style.wrapped(f"It does no harm here, {NOT_NEEDED}.")
    if outcome.verdict is Verdict.RESIDUAL:
        word = "DANGER" if harms_a_person(outcome) else "NOTICE"
        yield style.signal(word, "NOT CONTAINED, AND NO WRITTEN PROCEDURE CAN")
        yield from (style.wrapped(harm_said(harm), first="  ", rest="    ") for harm in outcome.harms if harm not in told)
    if fault.residual is not None:
        yield style.wrapped(f"No written procedure can contain it: {fault.residual}", rest="  ")
    if outcome.verdict is Verdict.CONTAINED and (lacking := missing_safeguards(fault, rules)):
        broken = ", ".join(rule for rule, outcome in lacking if outcome is not None)
        unseen = ", ".join(rule for rule, outcome in lacking if outcome is None)
        if broken:
            yield style.wrapped(f"Rules about it that this plan does not keep: {broken}.", rest="  ")
        if unseen:
            yield style.wrapped(f"Rules about it that are not audited under the policy: {unseen}.", rest="  ")
    yield style.faint(style.wrapped("; ".join(fault.sources) + ".", first="Source: ", rest="  "))
