"""What a customer is left with: what was done, what is to be done and by whom, and what a new washer asks of its people."""

from msgspec import Struct

from .. import model
from ..advising.wording import in_100
from ..model import holds
from .assess import Survey
from .findings import Defect
from .must_see import places
from .stops import TAPS, at_the_main, in_use, meanwhile

NOISES = 6  # healthy sounds and sights that are told beforehand
LED = 2  # what a break leads to, in so many complaints


class ToDo(Struct, frozen=True, kw_only=True):
    """Something that is left to be done: what, why, and by whom; what can hurt, and what whoever installs owes, nobody declines."""

    what: str
    why: str
    by: str
    may_decline: bool = True


class Customer(Struct, frozen=True, kw_only=True):
    """The customer's page: sentences, in the order in which they stand on it."""

    verdict: str
    stop: list[str]
    told: list[str]
    done: list[str]
    to_do: list[ToDo]
    declined: list[str]
    not_seen: list[str]
    bolts: str
    phone: bool
    habits: list[str]
    noises: list[str]
    call: list[str]


# Who is called for what; the usual cautions, in the order of haste.
CALL = (
    "Water that does not stop: close both taps of the washer, then the house's main valve. Don't step into water near an outlet or a cord.",
    "A smell of gas: switch nothing, leave, and call the gas company or the fire service from outside.",
    "A burning smell, a tingle or a shock: keep off; switch its breaker off from a dry place, and call an electrician.",
    "It walks, leaks or stands still: switch it off at its own control, close both taps, and call the number below.",
)


def customer(kb: model.KB, done: Survey) -> Customer:
    """Return what stands on the customer's page.

    Parameters
    ----------
    kb : KB
        With a machine sheet applied where there is one.
    done : Survey
    """
    seen = [] if done.phone else _seen(kb, done)
    # What one mend puts right is one thing to do.
    once = {f.mend.cause or f"{n}": f for n, f in reversed([*enumerate(done.findings)])}
    found = [f for f in done.findings if f in once.values() and not f.declined]
    left = len(found)
    declined = sum(f.declined for f in done.findings)
    verdict = (
        f"{left} thing{'s are' if left > 1 else ' is'} to be done before all is well."
        if left
        else "Nothing else that was looked at is broken, but what was declined stays as it is."
        if declined
        else "Nothing that was looked at is broken."
    )
    if done.missing:
        verdict += f" {len(done.missing)} of the things that must be seen {'were' if len(done.missing) > 1 else 'was'} not seen yet."
    if done.phone:
        verdict = f"Asked on the phone, before delivery: {done.phone.text}."
    stop = _stop(done)
    if stop and not left:
        verdict = ""
    if stop and not done.phone:
        verdict = f"DON'T RUN IT. {verdict}".strip()
    return Customer(
        verdict=verdict,
        stop=stop,
        told=_told(kb, done),
        done=seen,
        to_do=[
            ToDo(
                what=f"{_plain(f.title)}: {f.said}. {f.mend.title if f.rules else 'The cause is to be found'}",
                why=_why(kb, f),
                by=f.mend.by_text,
                may_decline=f.may_decline,
            )
            for f in found
        ],
        declined=[*(_declined(kb, f) for f in done.findings if f.declined), *_passed(done)],
        not_seen=[m.title for m in (done.phone.to_ask if done.phone else done.missing)],
        bolts="" if done.phone else _bolts(kb, done),
        phone=done.phone is not None,
        habits=[]
        if done.phone
        else [
            _as_it_is(done, "Away for more than a day: close both taps."),
            *_first_run(done),
            "Before any move the shipping restraints go back in.",
            "The machine's manual governs; keep it with this page.",
        ],
        # What is healthy is no comfort beside a machine that must not be run.
        noises=[] if done.phone or done.stops or any(not p.passed for p in done.proofs) else _noises(kb, done.facts),
        call=[_as_it_is(done, text) for text in CALL],
    )


def _as_it_is(done: Survey, text: str) -> str:
    """Return what a household is told to do as it can be done there: nobody closes a tap that was found stuck."""
    stuck = any(x.check == TAPS and x.verdict == "broken" for x in done.lines)
    if not stuck:
        return text
    return at_the_main(text.replace("close both taps of the washer, then the house's main valve", "close both taps"))


def _seen(kb: model.KB, done: Survey) -> list[str]:
    """Return what must be seen and was, and what was proved, in plain words."""
    # Beside a machine that must not be run, a run that went well comforts the wrong person.
    out = [f"{p.title}: {p.said}" for p in done.proofs if p.passed and not p.again and not p.told and not done.stops]
    must = _must(kb)
    for x in done.lines:
        check = kb.checks.get(x.check)
        if x.verdict == "within" and x.counted and not x.told and check and check.id in must:
            # By what must be, not by what was looked for: no household needs to read of a hose that is sealed in.
            text = f"{_plain(x.title)}: {x.said}"
            if text not in out:
                out.append(text)
    return out


def _plain(title: str) -> str:
    """Return the title of a rule without its code or country.

    Examples
    --------
    >>> _plain("Taps that can be closed (230 V countries)")
    'Taps that can be closed'
    """
    return title.partition(" (")[0]


def _why(kb: model.KB, of: Defect) -> str:
    """Return the danger, and beside one that hurts nobody the likeliest complaints."""
    led = ", ".join(
        f"{kb.complaints[c.complaint].title.lower()} {in_100(c.p)} within a year" for c in of.leads_to[:LED]
    )
    danger = of.danger.removesuffix(".")
    return danger if of.hurts else "; ".join(t for t in (danger, led) if t)


def _declined(kb: model.KB, f: Defect) -> str:
    """Return a mend that the customer declined, with what it leads to if it stays so."""
    why = _why(kb, f)
    return f"{f.title}: {f.said}. {f.mend.title}, by {f.mend.by_text}{f'. If it stays so: {why}' if why else ''}"


def _passed(done: Survey) -> list[str]:
    """Return the looks that were declined, and what was declined and can't be."""
    return [f"{x.title}: {x.text}" for x in done.declined if x.kind != "mend"]


def _stop(done: Survey) -> list[str]:
    """Return what keeps the machine from being run, whose work it is, and what to do until then; nothing where nobody can be hurt."""
    found = [s for s in done.stops if s.danger]
    names = {f.check: f.title for f in done.findings}
    by = {f.check: f.mend.by_text for f in done.findings}
    what = "No washer is to run there" if done.phone else "Don't run it"
    out = [
        f"{what} until {by.get(s.check, 'a washer technician')} has put this right: {names.get(s.check, s.title)}: {s.said}. {s.danger}"
        for s in found
    ]
    return [*out, *(in_use(found) if done.phone else meanwhile(found))]


def _told(kb: model.KB, done: Survey) -> list[str]:
    """Return what a customer told of what must be seen, in plain words."""
    here = [x for x in done.lines if x.check and x.counted and (x.told or (done.phone and x.verdict == "within"))]
    checks = {x.check: x.said for x in here} | {p.check: p.said for p in done.proofs if p.told}
    must = _must(kb)
    wrong = {f.check for f in done.findings}
    return [
        f"{kb.checks[c].title}: {said}" for c, said in checks.items() if (c not in wrong if done.phone else c in must)
    ]


def _must(kb: model.KB) -> set[str]:
    """Return the lines that must be seen, and those that do in the place of one."""
    return {c.id for c in kb.checks.values() if c.on_sheet and c.on_sheet.must_see} | {*places(kb)}


def _first_run(done: Survey) -> list[str]:
    """Return the first run, unless it must wait or was made."""
    if done.stops or any(not p.passed for p in done.proofs):
        return []
    dose = "dose by the packet and the water's hardness."
    if done.proofs:
        return [dose[0].upper() + dose[1:]]
    first = "First run: the drum empty, one full normal program, half the usual dose of a high-efficiency detergent (common practice)."
    return [f"{first} Then {dose}"]


def _bolts(kb: model.KB, done: Survey) -> str:
    fitted = kb.data.get("restraints")
    out = any(x.rule == "restraints-out" and x.verdict == "within" for x in done.lines)
    if not out:
        left = any(x.rule == "restraints-out" and x.verdict == "broken" for x in done.lines)
        return f"Shipping restraints: {'not all out' if left else 'not counted yet'}. Don't run it before they are all out."
    count = f"{fitted} were fitted, and as many came out" if fitted else "all came out"
    return f"Shipping restraints: {count}. They are kept here, for the next move:"


def _noises(kb: model.KB, facts: dict[str, str]) -> list[str]:
    """Return what is healthy and worries people at first, the most usual first: the kb's own normal causes of a new washer."""
    normal = [c for c in kb.causes.values() if c.kind == "normal" and holds(c.when, facts)]
    heard = [c for c in normal if any(s.complaint in ("noisy", "walks", "first-run", "water-hammer") for s in c.shows)]

    def usual(cause: model.Cause) -> float:
        rate = cause.per_1000.n
        for x in cause.likelier:
            if holds(x.when, facts) and all(f in facts for f in x.when):
                rate *= x.times.n
        return rate

    heard.sort(key=lambda c: (-usual(c), c.id))
    return [c.says for c in heard[:NOISES]]
