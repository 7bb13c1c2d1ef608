"""Run the cases beside every cause and the decoys, and say which do not come out as they promise."""

from pathlib import Path

from .. import model
from ..advise import advise_state
from ..advising.analysis import Analysis
from ..case.state import Answered, State
from ..diagnosis.network import network_of
from ..errors import Problem
from ..knowledge.folder import layers
from ..knowledge.graph import answer_node, side_node
from ..knowledge.strict_yaml import Node, Sheet, read
from ..measurement.readings import limits, reading
from ..planning.roles import DEFAULT_ROLE, default_hands, open_checks

MOST_DECOY = 0.2
LEAST_UNKNOWN = 0.5
# Of what holds the rest of a belief, and of what else shows an answer, so many are named; a belief below the least is not.
MOST_HELD, MOST_USERS, LEAST_HELD = 4, 3, 0.005


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


def _about(cause: str, trial: model.Trial) -> list[str]:
    """Return the causes that a case is about."""
    return trial.expect.both or [trial.expect.top or cause]


def held_by(kb: model.KB, cause: str, trial: model.Trial) -> str:
    """Return what holds the rest of the belief in a case, beside the causes that it is about, the likeliest first."""
    analysis = Analysis(network_of(kb), state_of(kb, trial.given))
    held = [(b.p, b.cause) for b in analysis.beliefs if b.cause not in _about(cause, trial) and b.p >= LEAST_HELD]
    held.append((analysis.unknown, "nothing listed"))
    held.sort(key=lambda pair: (-pair[0], pair[1]))
    return ", ".join(f"{name} {p:.2f}" for p, name in held[:MOST_HELD])


def speaks_for(kb: model.KB, cause: str, trial: model.Trial) -> list[str]:
    """Return of each telling answer of a case which of its causes show it or leave it out, and which others use it.

    Parameters
    ----------
    kb : KB
    cause : str
        The cause that the case stands beside.
    trial : Trial
    """
    network, about, out = network_of(kb), _about(cause, trial), []
    for check_id, answer in trial.given.answers.items():
        check = kb.checks[check_id]
        if check.kind == "measure":
            side = reading(kb, check_id, answer, default_hands(trial.given.role or DEFAULT_ROLE)).verdict.side
            node = side_node(check.rule or "", side) if side else ""
        else:
            node = answer_node(check_id, answer) if answer != list(check.answers)[-1] else ""
        if not node:
            continue
        shown = network.shown.get(node, {})
        others = sorted((c for c in shown if c not in about), key=lambda c: (-shown[c], c))
        more = f" and {len(others) - MOST_USERS} more" if len(others) > MOST_USERS else ""
        use = "uses" if len(others) == 1 else "use"
        rest = f"{', '.join(others[:MOST_USERS])}{more} {use} it, too" if others else "no other cause uses it"
        own = [f"{c} shows it ({shown[c]:.2g})" if c in shown else f"{c} does not list it" for c in about]
        out.append(f"'{answer}' of {check_id}: {', '.join(own)}; {rest}")
    return out


def _case_place(kb: model.KB, folder: Path | None, cause: str, number: int) -> tuple[Sheet, Node | None]:
    """Return the sheet of a cause's file and the node of a case in it, where the folder is known and has it."""
    name = kb.places.get(f"causes/{cause}", "").rpartition(":")[0]
    for layer in layers(folder) if folder else []:
        for path in layer.glob(f"causes/**/{cause}.yaml"):
            sheet = read(path, name)
            cases = sheet.root.value.get("cases") if sheet.root and isinstance(sheet.root.value, dict) else None
            if cases and isinstance(cases.value, list) and number < len(cases.value):
                return sheet, cases.value[number]
    return Sheet(name, ""), None


def _decoy_place(folder: Path | None, name: str) -> tuple[Sheet, Node | None]:
    """Return the sheet of the decoys and the node of one of them, where the folder is known and has it."""
    for layer in layers(folder) if folder else []:
        if (layer / "decoys.yaml").is_file():
            sheet = read(layer / "decoys.yaml", f"{layer.name}/decoys.yaml")
            for node in sheet.root.value if sheet.root and isinstance(sheet.root.value, list) else []:
                own = node.value.get("name") if isinstance(node.value, dict) else None
                if own and own.value == name:
                    return sheet, node
    return Sheet("decoys.yaml", ""), None


def run_trials(kb: model.KB, folder: Path | None = None) -> list[Problem]:
    """Return a problem for every case and decoy that does not come out as promised.

    Parameters
    ----------
    kb : KB
    folder : Path, optional
        Where the kb was read from: each case is then placed at its line.
    """
    out = []
    for cause in kb.causes.values():
        for number, trial in enumerate(cause.cases):
            failed = failures(kb, cause.id, trial)
            if not failed:
                continue
            sheet, node = _case_place(kb, folder, cause.id, number)
            told = ". ".join(speaks_for(kb, cause.id, trial)) or "none of its answers tells anything"
            out.append(
                sheet.placed(
                    "K301",
                    f"case '{trial.name}': {'; '.join(failed)}; the rest is held by {held_by(kb, cause.id, trial)}",
                    node,
                    expected=f"what the case promises. {told}",
                    mend="correct a strength, a rate or a check (the causes that use an answer, too, move with it), or the expectation "
                    "if a practitioner would agree with the advice",
                )
            )
    for decoy in kb.decoys:
        for text in decoy_failures(kb, decoy):
            sheet, at = _decoy_place(folder, decoy.name)
            out.append(
                sheet.placed(
                    "K302",
                    f"decoy '{decoy.name}': {text}",
                    at,
                    expected=f"no cause above {MOST_DECOY}, and nothing listed at {LEAST_UNKNOWN} or more",
                    mend="give the cause checks that acquit it, lower its rate, or raise the complaint's unlisted_per_1000",
                )
            )
    return out
