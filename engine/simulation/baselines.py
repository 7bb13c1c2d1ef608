"""What the advice is held against: the trade's fixed order, and somebody who knows at once what is at work.

Both work at the same made-up sites, pay the same prices, keep the same permissions and clear the same gates as `play.play`.
"""

from .. import model
from ..diagnosis.network import Net
from ..knowledge import graph
from ..measurement.readings import reading
from ..model import holds
from ..planning import roles
from .episode import Game, Ledger
from .world import Site

KINDS = ("ask", "look", "measure", "try")


def fixed_list(net: Net, complaints: list[str]) -> list[model.Check]:
    """Return the checks about some complaints in the trade's order: ask, look, measure, try, and as they stand in the files.

    Parameters
    ----------
    net : Net
    complaints : list of str

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kinds = [KINDS.index(c.kind) for c in fixed_list(Net(load_kb()), ["siphons"])]
    >>> kinds == sorted(kinds)
    True
    """

    def rank(check: model.Check) -> tuple[int, str, int]:
        file, _, line = net.kb.places.get(f"checks/{check.id}", "").rpartition(":")
        return KINDS.index(check.kind), file, int(line or 0)

    about = net.checks_for(graph.relevant(net.graph, complaints))
    return sorted((net.kb.checks[c] for c in about if not net.kb.checks[c].only_proof), key=rank)


def in_order(net: Net, site: Site, role: str, believed: Net | None = None) -> Game:
    """Return how the fixed order does at a site.

    Every permitted check is done in turn. One that comes out telling is followed at once by the remedies of the causes
    that show it, the most frequent first, each with its proof. After the last check come the remedies, by rate, of what no
    check came out normal for; then the case is handed on, and the next role goes on where this one stood. The facts of the
    site are known to it for nothing.

    Parameters
    ----------
    net : Net
        What is true at the site.
    site : Site
    role : str
        Who is there at first.
    believed : Net, optional
        What the order, the suspects and their rates are taken from; the truth unless said.
    """
    return _Round(net, site, role, believed or net).go()


class _Round:
    """One round of the fixed order."""

    def __init__(self, true: Net, site: Site, role: str, believed: Net) -> None:
        net = self.net = believed
        self.ledger = Ledger(true, site, role)
        self.list = fixed_list(net, list(site.origins))
        about = graph.relevant(net.graph, list(site.origins))
        self.about = [c for c in about if holds(net.kb.causes[c].when, site.facts)]
        self.said: dict[str, str] = {}
        self.suspects: list[str] = []
        self.tried: set[str] = set()
        self.acquitted: set[str] = set()

    def go(self) -> Game:
        ledger = self.ledger
        while True:
            self._checks()
            self._mend([c for c in self._by_rate(self.about) if c not in self.acquitted])
            if not ledger.left():
                break
            ledger.clear_all()
            card = roles.role_card(ledger.kb, ledger.role)
            if card.hand_on_to != "technician":
                ledger.last_resort()
                break
            ledger.call("technician")
        return ledger.close()

    def _checks(self) -> None:
        self._mend(self.suspects)
        for check in self.list:
            if not self.ledger.left():
                return
            allowed = roles.permitted(self.net.kb, check, self.ledger.hands)
            if check.id not in self.said and allowed and holds(check.when, self.ledger.site.facts):
                shown = self._by_rate(self._ask(check))
                self.suspects += [c for c in shown if c not in self.suspects]
                self._mend(shown)

    def _ask(self, check: model.Check) -> list[str]:
        """Do a check and return the causes that show what it came out as; those of what it did not are acquitted."""
        self.ledger.clear_all(check.hazards)
        said = self.ledger.ask(check)
        self.said[check.id] = said
        seen, nodes = "", []
        if check.kind == "measure":
            verdict = reading(self.net.kb, check.id, said, self.ledger.hands).verdict
            nodes = [graph.side_node(check.rule or "", s) for s in graph.sides(self.net.kb.rules[check.rule or ""])]
            if verdict.state == "broken":
                seen = graph.side_node(check.rule or "", verdict.side or "")
        else:
            nodes = [graph.answer_node(check.id, a) for a in list(check.answers)[:-1]]
            seen = graph.answer_node(check.id, said)
        telling = [c for c in self.net.shown.get(seen, {}) if c in self.about]
        shows = {c for n in nodes for c in self.net.shown[n]}
        self.acquitted |= shows - set(telling)
        return telling

    def _by_rate(self, causes: list[str]) -> list[str]:
        return sorted(causes, key=lambda c: (-self.net.rate[c], c))

    def _mend(self, causes: list[str]) -> None:
        """Mend what these hands may, or book the trade for it, until the complaint is gone."""
        kb, ledger = self.net.kb, self.ledger
        for cause_id in causes:
            remedy = kb.causes[cause_id].remedy
            mine = roles.may_mend(kb, remedy, ledger.hands)
            if cause_id in self.tried or not ledger.left() or not (mine or remedy.by in ("plumber", "electrician")):
                continue
            if remedy.only_if and not self._holds(remedy.only_if):
                continue
            self.tried.add(cause_id)
            _mended(ledger, cause_id)

    def _holds(self, only: model.OnlyIf) -> bool:
        """Return whether the observation that a remedy waits for was made, making it first where these hands can."""
        check = self.net.kb.checks[only.check]
        if check.id not in self.said and roles.permitted(self.net.kb, check, self.ledger.hands):
            self.ledger.clear_all(check.hazards)
            self.said[check.id] = self.ledger.ask(check)
        said = self.said.get(check.id)
        if said is None or check.kind != "measure":
            return said is not None and said == only.answer
        verdict = reading(self.net.kb, check.id, said, self.ledger.hands).verdict
        return verdict.state == "broken" and verdict.side == only.side


def _mended(ledger: Ledger, cause_id: str) -> None:
    """Have a cause mended and its fix proved; hands that may not do the proof say what is left instead."""
    remedy = ledger.kb.causes[cause_id].remedy
    ledger.clear_all(remedy.hazards if roles.may_mend(ledger.kb, remedy, ledger.hands) else ())
    ledger.mend(cause_id)
    proof = ledger.proof_of(cause_id)
    if proof:
        ledger.clear_all(proof.hazards)
        ledger.prove(cause_id)
    else:
        ledger.clear_all()
        ledger.still()


def knowing(net: Net, site: Site, role: str) -> Game:
    """Return what it costs where everybody knows at once what is at work: the remedies, their proofs, and who must come.

    No look comes before a remedy here, not even one that a remedy waits for: what it would show is known.

    Parameters
    ----------
    net : Net
    site : Site
    role : str
        Who is there at first.
    """
    ledger = Ledger(net, site, role)
    kb = net.kb
    own: list[str] = []
    others: list[str] = []
    unlisted = any(not o for o in site.origins.values())
    for cause_id in [] if unlisted else ledger.game.origins:
        remedy = kb.causes[cause_id].remedy
        mine = roles.may_mend(kb, remedy, ledger.hands) or remedy.by in ("plumber", "electrician")
        (own if mine else others).append(cause_id)
    for n, cause_id in enumerate([*own, *others]):
        if n == len(own):
            ledger.clear_all()
            ledger.call("technician")
        if not ledger.left():
            break
        _mended(ledger, cause_id)
    if ledger.left():
        ledger.clear_all()
        ledger.last_resort()
    return ledger.close()
