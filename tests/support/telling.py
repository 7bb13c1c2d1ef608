"""Cases that are told: one handed over by a desk, one mended and proved, one that stopped, one that needs a plumber, and notes that mean harm."""

from dryfloor.engine.case.events import Event

HANDED_OVER = [
    Event(role="desk", hands="homeowner"),
    Event(heard="water keeps running out while it fills, since we moved", complaints=["siphons"]),
    Event(cleared="water-near-electricity", word="dry"),
    Event(fact="drain", is_="standpipe"),
    Event(fact="onset", is_="moved"),
    Event(check="runs-off-while-filling", answer="runs"),
    Event(check="standpipe-height", value="38 in"),
    Event(check="hose-sealed", answer="loose"),
    Event(fact="raised", is_="pedestal"),
    Event(cant="hose-depth"),
    Event(note="the yard gate sticks"),
]
MENDED = [
    Event(role="desk", hands="homeowner"),
    Event(heard="it hops about upstairs, since it was installed", complaints=["walks"]),
    Event(cleared="walking-machine", word="stopped"),
    Event(fact="floor", is_="wood-joists"),
    Event(fact="onset", is_="new"),
    Event(check="restraints-left", answer="none"),
    Event(cant="rocks-by-hand"),
    Event(closed="handed-on"),
    Event(role="technician"),
    Event(cleared="walking-machine", word="stopped"),
    Event(check="rocks-by-hand", answer="rocks"),
    Event(check="foot-gap", value="2 mm"),
    Event(remedy="foot-unloaded", did="done"),
    Event(proof="spin-stays-put", answer="stayed"),
]
STOPPED = [*HANDED_OVER, Event(stopped="water-near-electricity")]


def of_trial(kb, trial):
    """Return the case of a trial of the kb as events."""
    g = trial.given
    out = [Event(role=g.role or "technician", hands=g.hands)]
    out += [Event(heard=g.say)] if g.say else []
    out += [Event(complaints=[c]) for c in g.complaints]
    out += [Event(fact=f, is_=o) for f, o in g.facts.items()]
    for name, said in g.answers.items():
        measured = kb.checks[name].kind == "measure"
        out.append(Event(check=name, value=said) if measured else Event(check=name, answer=said))
    return out


HOSTILE = [
    "<script>document.title='gotcha'</script><img src=x onerror=alert(1)> & \"quoted\" {{ 7 * 7 }} {% raw %}",
    "</style></blockquote></main><h1>not a heading</h1>",
    "bell \x07 escape \x1b[31mred\x1b[0m null \x00 return\rhidden",
    "turned \u202egnp.exe\u202c and \u2066isolated\u2069 and \u200bzero width\ufeff",
    "\u05d4\u05de\u05db\u05d5\u05e0\u05d4 \u05e7\u05d5\u05e4\u05e6\u05ea (3 times!)",
    "| a | b |\n|---|---|\n# head\n- item\n`code` **bold** [link](http://example.invalid) ![x](y)",
    "long " + "w" * 5000 + " " + "word " * 1000,
]
NASTY = [
    *HANDED_OVER[:1],
    Event(heard=HOSTILE[0], complaints=["siphons"]),
    *HANDED_OVER[2:],
    *(Event(note=n) for n in HOSTILE),
]
LOW_PIPE = [
    Event(role="desk"),
    Event(complaints=["siphons"]),
    Event(cleared="water-near-electricity"),
    Event(fact="drain", is_="standpipe"),
    Event(check="standpipe-height", value="31 in"),
    Event(check="hose-sealed", answer="loose"),
]
BOOKED = [  # nothing that is left to ask would change much
    *LOW_PIPE,
    Event(check="runs-off-while-filling", answer="runs"),
    Event(fact="onset", is_="new"),
    Event(check="hose-depth", value="5 in"),
    Event(check="drain-hose-in-hook", answer="held"),
]
