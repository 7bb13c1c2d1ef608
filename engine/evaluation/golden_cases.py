"""Run the cases beside every cause and the decoys, and say which do not come out as they promise."""

from .. import model
from ..advise import advise_state
from ..advising.analysis import Analysis
from ..case.state import Answered, State
from ..diagnosis.network import network_of
from ..errors import Problem
from ..measurement.readings import limits
from ..planning.roles import DEFAULT_ROLE, default_hands, open_checks

MOST_DECOY = 0.2
LEAST_UNKNOWN = 0.5


def state_of(kb: model.KB, given: model.Given) -> State:
    """Return the state of a case's `given`: complaints heard, facts known, checks answered, gates cleared."""
    role = given.role or DEFAULT_ROLE
    hands = given.hands or default_hands(role)
    answers = tuple(Answered(c, a, hands, 0) for c, a in given.answers.items())
    return State(
        role=role,
        hands=hands,
        complaints=tuple(given.complaints),
        confirmed=tuple(given.complaints),
        stands=tuple((c, 0) for c in given.complaints),
        facts=tuple(given.facts.items()),
        answers=answers,
        words=(given.say,) if given.say else (),
        cleared=tuple(kb.hazards),
    )


def normal_answer(kb: model.KB, check: model.Check) -> str:
    """Return the answer of a sound site: the normal one, or a reading in the middle of the limits."""
    if check.kind != "measure":
        return list(check.answers)[-1]
    rule = kb.rules[check.rule or ""]
    from ..measurement import formatting, quantity

    low, high = limits(rule)
    first, last = quantity.plausible(rule.plausible or "", rule.measures)
    middle = (low if low is not None else first, high if high is not None else last)
    return formatting.show(sum(middle) / 2, rule.measures, "si")


def failures(kb: model.KB, cause: str, trial: model.Trial) -> list[str]:
    """Return what a case promises and the advice does not keep."""
    state = state_of(kb, trial.given)
    analysis = Analysis(network_of(kb), state)
    p = {b.cause: b.p for b in analysis.beliefs}
    expect, out = trial.expect, []
    top = analysis.beliefs[0].cause if analysis.beliefs else None
    if expect.top and top != expect.top:
        out.append(f"top is {top} ({p.get(top or '', 0):.3f}), expected {expect.top} ({p.get(expect.top, 0):.3f})")
    about = expect.top or cause
    if expect.at_least is not None and p.get(about, 0) < expect.at_least:
        out.append(f"{about} has {p.get(about, 0):.3f}, expected at least {expect.at_least}")
    if expect.at_most is not None and p.get(about, 0) > expect.at_most:
        out.append(f"{about} has {p.get(about, 0):.3f}, expected at most {expect.at_most}")
    if expect.below and p.get(expect.below, 0) >= p.get(expect.top or top or "", 0):
        out.append(f"{expect.below} ({p.get(expect.below, 0):.3f}) is not below {expect.top or top}")
    if expect.both and sorted(b.cause for b in analysis.beliefs[: len(expect.both)]) != sorted(expect.both):
        out.append(
            f"first are {', '.join(b.cause for b in analysis.beliefs[: len(expect.both)])}, expected {', '.join(expect.both)}"
        )
    if expect.unknown_at_least is not None and analysis.unknown < expect.unknown_at_least:
        out.append(f"unknown is {analysis.unknown:.3f}, expected at least {expect.unknown_at_least}")
    if expect.next:
        step = advise_state(kb, state).next
        if step is None or step.id != expect.next:
            out.append(f"next is {step.kind + ' ' + step.id if step else None}, expected {expect.next}")
    return out


def decoy_failures(kb: model.KB, decoy: model.Decoy) -> list[str]:
    """Return why a sound site with every permitted check normal would be blamed: with its complaint and without."""
    out = []
    network = network_of(kb)
    for complaints in ([decoy.complaint], []):
        state = state_of(kb, model.Given(role=decoy.role, complaints=complaints, facts=decoy.facts))
        about = Analysis(
            network, state_of(kb, model.Given(role=decoy.role, complaints=[decoy.complaint], facts=decoy.facts))
        )
        checks = open_checks(network, state, [b.cause for b in about.beliefs], state.hands)
        answers = tuple(Answered(c.id, normal_answer(kb, c), state.hands, 0) for c in checks)
        analysis = Analysis(
            network, State(**{f: getattr(state, f) for f in state.__struct_fields__} | {"answers": answers})
        )
        name = decoy.complaint if complaints else "no complaint"
        out += [
            f"{name}: {b.cause} stays at {b.p:.3f} with every check normal (at most {MOST_DECOY})"
            for b in analysis.beliefs
            if b.p > MOST_DECOY
        ]
        if analysis.unknown < LEAST_UNKNOWN:
            out.append(
                f"{name}: unknown is {analysis.unknown:.3f} with every check normal (at least {LEAST_UNKNOWN}); "
                + ", ".join(f"{b.cause} {b.p:.2f}" for b in analysis.beliefs[:4])
            )
    return out


def run_trials(kb: model.KB) -> list[Problem]:
    """Return a problem for every case and decoy that does not come out as promised."""
    out = []
    for cause in kb.causes.values():
        for trial in cause.cases:
            for text in failures(kb, cause.id, trial):
                out.append(
                    Problem(
                        code="K301",
                        file=kb.places.get(f"causes/{cause.id}", "").rpartition(":")[0],
                        message=f"case '{trial.name}': {text}",
                        mend="correct the strengths, the rates or the checks, or the expectation if a practitioner would agree with the advice",
                    )
                )
    for decoy in kb.decoys:
        for text in decoy_failures(kb, decoy):
            out.append(
                Problem(
                    code="K302",
                    file="decoys.yaml",
                    message=f"decoy '{decoy.name}': {text}",
                    mend="give the cause checks that acquit it, lower its rate, or raise the complaint's unlisted_per_1000",
                )
            )
    return out
