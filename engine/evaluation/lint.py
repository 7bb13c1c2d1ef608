"""What the words of a kb must keep to: short enough to be read in a wet basement, one thing at a time, hazards named where they are.

These are no faults of form: a kb that has some can still be walked. `dryfloor kb check` reports them beside the cases.
"""

import re
from collections.abc import Iterator

from .. import model
from ..advising.gates import step_of
from ..diagnosis.network import Network
from ..errors import Problem, nearest, one_of
from .reports_of_signs import alike

# What fits a card and can be kept in mind [letters].
LONGEST = {"ask": 220, "how": 420, "says": 70, "title": 44, "step": 220, "complaint": 80}
TWO_IN_ONE = re.compile(r"\?\s+[^?]*\?")
_ASKS = r"(?:is|are|was|were|do|does|did|has|have|can)"
AND_ANOTHER = re.compile(rf"\b{_ASKS}\b[^?.:]*,? and {_ASKS} [^?]*\?", re.IGNORECASE)
# Words of a danger in an instruction, and words by which a hazard that speaks of it is known.
NEAR: dict[str, tuple[str, str]] = {
    "electricity": (
        r"multimeter|voltmeter|live (part|wire|voltage)s?|terminals?|between (hot|neutral|ground)",
        r"electri|shock|volt|unplug|live|breaker|kill",
    ),
    "height": (r"ladder|step ?stool|climb(ing)? (on|up)|(on|onto|to) the roof|roofs", r"ladder|fall|height"),
    "heat": (r"boil\w*|kettle|heat gun|torch|very hot water", r"hot|scald|burn|flame|heat"),
    "lifting": (
        r"(lift|tip|tilt|carry|roll|walk) (the |it |your )?(front of the )?(washer|machine)",
        r"lift|tip|heavy|weigh|back",
    ),
    "sewage": (r"sewage|drain (snake|auger)|plumber's snake|foul water", r"sewage|germ|foul|sewer"),
    "pressure": (
        r"pressure gauge|bleed|(unscrew|take off|loosen) (the|both|a) (fill )?hoses? (from|at) the tap",
        r"pressure|spray|spurt|burst|close|water running|tap",
    ),
}
# A sentence that forbids is no instruction: "No flame, no heat gun."
FORBIDS = re.compile(r"\b(no|not|never|don't|without|instead of|leave)\b", re.IGNORECASE)


def lint(kb: model.KB) -> list[Problem]:
    """Return every place where the words of a kb break what `kb/README.md` asks of them, in file order.

    Parameters
    ----------
    kb : KB

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> [p.code for p in lint(load_kb())]
    []
    """
    found = [*_long(kb), *_two_in_one(kb), *_hazards(kb), *_steps(kb), *_proofs(kb), *_alike(kb)]
    return sorted(found, key=lambda p: (p.file, p.line, p.code, p.message))


def problem_at(kb: model.KB, place: str, code: str, message: str, **more: str) -> Problem:
    """Return a problem at an entry, by its table and id."""
    file, _, line = kb.places.get(place, "").rpartition(":")
    return Problem(code=code, message=message, file=file, line=int(line or 0), column=1 if line else 0, **more)


def _texts(kb: model.KB) -> Iterator[tuple[str, str, str, str]]:
    """Yield every text with a length: place, kind of text, where in the entry, the text itself."""
    for table in ("complaints", "facts", "hazards", "rules", "checks", "causes"):
        for name, record in getattr(kb, table).items():
            yield f"{table}/{name}", "title", "title", record.title
    for complaint in kb.complaints.values():
        yield f"complaints/{complaint.id}", "complaint", "says", complaint.says
    for table, options in (("facts", "options"), ("checks", "answers")):
        for name, record in getattr(kb, table).items():
            for voice in ("homeowner", "desk", "technician"):
                yield f"{table}/{name}", "ask", f"ask.{voice}", getattr(record.ask, voice) or ""
            for each, option in getattr(record, options).items():
                yield f"{table}/{name}", "says", f"{options}.{each}.says", option.says
    for check in kb.checks.values():
        yield f"checks/{check.id}", "how", "how", check.how
        yield f"checks/{check.id}", "how", "how_technician", check.how_technician or ""
    for cause in kb.causes.values():
        yield f"causes/{cause.id}", "title", "remedy.title", cause.remedy.title
        for n, step in enumerate(cause.remedy.steps, 1):
            yield f"causes/{cause.id}", "step", f"step {n} of the remedy", step


def _long(kb: model.KB) -> Iterator[Problem]:
    for place, kind, where, text in _texts(kb):
        if len(text) > LONGEST[kind]:
            yield problem_at(
                kb,
                place,
                "K201",
                f"'{where}' has {len(text)} letters",
                expected=f"at most {LONGEST[kind]}",
                mend="say it shorter, or put the rest where it belongs: how, a step, another check",
            )


def _two_in_one(kb: model.KB) -> Iterator[Problem]:
    for table in ("checks", "facts"):
        for name, record in getattr(kb, table).items():
            ask, heard = record.ask.homeowner or "", record.ask.desk or ""
            joined = TWO_IN_ONE.search(ask)
            if not getattr(record, "only_proof", False):  # a proof asks whether all of it is well
                joined = joined or AND_ANOTHER.search(ask) or AND_ANOTHER.search(heard)
            if not joined:
                continue
            yield problem_at(
                kb,
                f"{table}/{name}",
                "K202",
                f"'{name}' asks two things at once: ...{joined[0].strip()[:60]}",
                expected="one question that each of its answers answers",
                mend="ask the one that matters, give the other an answer of its own, or make two checks",
            )


def _hazards(kb: model.KB) -> Iterator[Problem]:
    def missing(text: str, hazards: list[str]) -> Iterator[tuple[str, str]]:
        known = " ".join(f"{h} {kb.hazards[h].title} {kb.hazards[h].says}" for h in hazards).lower()
        told = " ".join(s for s in re.split(r"(?<=[.!?;])\s+", text) if not FORBIDS.search(s))
        for danger, (words, named) in NEAR.items():
            said = re.search(rf"\b({words})\b", told, re.IGNORECASE)
            if said and not re.search(named, known):
                yield danger, said[0]

    for check in kb.checks.values():
        if check.kind == "ask":  # from memory: nobody goes near anything
            continue
        raised = [a.raises for a in check.answers.values() if a.raises]
        for danger, word in missing(f"{check.how} {check.how_technician or ''}", [*check.hazards, *raised]):
            yield problem_at(
                kb,
                f"checks/{check.id}",
                "K203",
                f"'{check.id}' comes near {danger} ('{word}') and names no hazard of it",
                mend="add the hazard to hazards:, or write how to do it without",
            )
    for cause in kb.causes.values():
        for danger, word in missing(" ".join(cause.remedy.steps), cause.remedy.hazards):
            yield problem_at(
                kb,
                f"causes/{cause.id}",
                "K203",
                f"the remedy of '{cause.id}' comes near {danger} ('{word}') and names no hazard of it",
                mend="add the hazard to remedy.hazards:, or write the step without",
            )


def _steps(kb: model.KB) -> Iterator[Problem]:
    """Yield the precautions of a remedy that are told at no step of it, and steps named that are not there."""
    for cause in kb.causes.values():
        remedy, place = cause.remedy, f"causes/{cause.id}"
        for hazard in remedy.hazards:
            if not step_of(kb, hazard, remedy):
                yield problem_at(
                    kb,
                    place,
                    "K203",
                    f"no step of the remedy of '{cause.id}' is known to meet '{hazard}'",
                    expected=f"a step with one of its words ({', '.join(kb.hazards[hazard].arises_at) or 'it has none'}), or its number",
                    mend=f"name the step at which it is met under remedy:, such as hazards_at: {{{hazard}: 1}}",
                )
        for hazard, step in remedy.hazards_at.items():
            if hazard not in remedy.hazards:
                yield problem_at(
                    kb,
                    place,
                    "K203",
                    f"the remedy of '{cause.id}' has a step for '{hazard}', which is not among its hazards",
                    expected=one_of(remedy.hazards) if remedy.hazards else "no hazards_at",
                    nearest=nearest(hazard, remedy.hazards),
                    mend="name it under remedy.hazards:, too, or take it out",
                )
            elif not 1 <= step <= len(remedy.steps):
                yield problem_at(
                    kb,
                    place,
                    "K173",
                    f"'{hazard}' is met at step {step} of the remedy of '{cause.id}', which has {len(remedy.steps)}",
                    expected=f"1 to {len(remedy.steps)}",
                    mend="correct the number",
                )


def _proofs(kb: model.KB) -> Iterator[Problem]:
    for cause in kb.causes.values():
        proof = kb.checks[cause.proof.check]
        if cause.remedy.by == "anyone" and proof.minutes.homeowner is None:
            yield problem_at(
                kb,
                f"causes/{cause.id}",
                "K204",
                f"anyone may do the remedy of '{cause.id}', and a homeowner can't do its proof '{proof.id}'",
                expected="a proof with minutes for a homeowner",
                mend=f"give '{proof.id}' homeowner minutes, name another proof, or say who else does the remedy",
            )


def _alike(kb: model.KB) -> Iterator[Problem]:
    for pair in alike(Network(kb)):
        if not pair.because:
            one, other = pair.checks
            yield problem_at(
                kb,
                f"checks/{one}",
                "K205",
                f"'{one}' and '{other}' are shown by most of the same causes, and share no sign",
                expected="one sign that both report, or what the one tells that the other does not",
                mend=f"add sign: to an answer of each, or under one of them  beside: {{{other}: why they are two things}}",
            )
