"""Cases that hang together: complaints with abnormal answers all over the machine, and long ones."""

from dryfloor.engine.case.events import Event


def abnormal(kb):
    """Return the first, abnormal answer to every check that is no measurement."""
    return [
        Event(check=c.id, answer=next(iter(c.answers)))
        for c in sorted(kb.checks.values(), key=lambda c: c.id)
        if c.kind != "measure"
    ]


def all_abnormal(kb, complaints=6):
    """Return a case of some complaints with every check abnormal: 12 kB that once took 53 s and 5 GB."""
    return [Event(role="technician"), Event(complaints=sorted(kb.complaints)[:complaints]), *abnormal(kb)]


def alternating(kb, count, checks=1):
    """Return a case of so many answers to so many checks in turn, each changed again and again."""
    named = [c for c in sorted(kb.checks.values(), key=lambda c: c.id) if c.kind != "measure"][:checks]
    head = [Event(role="technician"), Event(complaints=["walks"])]
    return head + [
        Event(check=(c := named[n % checks]).id, answer=list(c.answers)[n // checks % 2]) for n in range(count)
    ]


def remedied(kb, count):
    """Return a case in which so many remedies were done, one cause after another."""
    causes = sorted(kb.causes)
    head = [Event(role="technician"), Event(complaints=["walks"])]
    return head + [Event(remedy=causes[n % len(causes)], did="done") for n in range(count)]
