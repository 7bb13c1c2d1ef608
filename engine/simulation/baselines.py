"""What the advice is held against: the trade's fixed order, and somebody who knows at once what is at work.

Both work at the same made-up sites, pay the same prices, keep the same permissions and clear the same gates as `play.play`.
"""

from .. import model
from ..diagnosis.network import Network
from ..knowledge import graph
from ..measurement.readings import reading
from ..model import holds
from ..planning import roles
from .episode import Episode, Outcome
from .world import Installation

KINDS = ("ask", "look", "measure", "try")


def fixed_list(network: Network, complaints: list[str]) -> list[model.Check]:
    """Return the checks about some complaints in the trade's order: ask, look, measure, try, and as they stand in the files.

    Parameters
    ----------
    network : Network
    complaints : list of str

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kinds = [KINDS.index(c.kind) for c in fixed_list(Network(load_kb()), ["siphons"])]
    >>> kinds == sorted(kinds)
    True
    """

    def rank(check: model.Check) -> tuple[int, str, int]:
        file, _, line = network.kb.places.get(f"checks/{check.id}", "").rpartition(":")
        return KINDS.index(check.kind), file, int(line or 0)

    about = network.checks_for(graph.relevant(network.graph, complaints))
    return sorted((network.kb.checks[c] for c in about if not network.kb.checks[c].only_proof), key=rank)


def fixed_order(network: Network, installation: Installation, role: str, believed: Network | None = None) -> Outcome:
    """Return how the fixed order does at a site.

    Every permitted check is done in turn. One that comes out telling is followed at once by the remedies of the causes
    that show it, the most frequent first, each with its proof. After the last check come the remedies, by rate, of what no
    check came out normal for; then the case is handed on, and the next role goes on where this one stood. The facts of the
    site are known to it for nothing.

    Parameters
    ----------
    network : Network
        What is true at the site.
    installation : Installation
    role : str
        Who is there at first.
    believed : Network, optional
        What the order, the suspects and their rates are taken from; the truth unless said.
    """
    return _Round(network, installation, role, believed or network).go()


class _Round:
    """One round of the fixed order."""

    def __init__(self, true: Network, installation: Installation, role: str, believed: Network) -> None:
        network = self.network = believed
        self.episode = Episode(true, installation, role)
        self.list = fixed_list(network, list(installation.origins))
        about = graph.relevant(network.graph, list(installation.origins))
        self.about = [c for c in about if holds(network.kb.causes[c].when, installation.facts)]
        self.said: dict[str, str] = {}
        self.suspects: list[str] = []
        self.tried: set[str] = set()
        self.acquitted: set[str] = set()

    def go(self) -> Outcome:
        episode = self.episode
        while True:
            self._checks()
            self._mend([c for c in self._by_rate(self.about) if c not in self.acquitted])
            if not episode.left():
                break
            episode.clear_all()
            card = roles.role_card(episode.kb, episode.role)
            if card.hand_on_to != "technician":
                episode.last_resort()
                break
            episode.call("technician")
        return episode.close()

    def _checks(self) -> None:
        self._mend(self.suspects)
        for check in self.list:
            if not self.episode.left():
                return
            allowed = roles.permitted(self.network.kb, check, self.episode.hands)
            if check.id not in self.said and allowed and holds(check.when, self.episode.installation.facts):
                shown = self._by_rate(self._ask(check))
                self.suspects += [c for c in shown if c not in self.suspects]
                self._mend(shown)

    def _ask(self, check: model.Check) -> list[str]:
        """Do a check and return the causes that show what it came out as; those of what it did not are acquitted."""
        self.episode.clear_all(check.hazards)
        said = self.episode.ask(check)
        self.said[check.id] = said
        seen, nodes = "", []
        if check.kind == "measure":
            verdict = reading(self.network.kb, check.id, said, self.episode.hands).verdict
            nodes = [graph.side_node(check.rule or "", s) for s in graph.sides(self.network.kb.rules[check.rule or ""])]
            if verdict.state == "broken":
                seen = graph.side_node(check.rule or "", verdict.side or "")
        else:
            nodes = [graph.answer_node(check.id, a) for a in list(check.answers)[:-1]]
            seen = graph.answer_node(check.id, said)
        telling = [c for c in self.network.shown.get(seen, {}) if c in self.about]
        shows = {c for n in nodes for c in self.network.shown[n]}
        self.acquitted |= shows - set(telling)
        return telling

    def _by_rate(self, causes: list[str]) -> list[str]:
        return sorted(causes, key=lambda c: (-self.network.rate[c], c))

    def _mend(self, causes: list[str]) -> None:
        """Mend what these hands may, or book the trade for it, until the complaint is gone."""
        kb, episode = self.network.kb, self.episode
        for cause_id in causes:
            remedy = kb.causes[cause_id].remedy
            mine = roles.may_mend(kb, remedy, episode.hands)
            if cause_id in self.tried or not episode.left() or not (mine or remedy.by in ("plumber", "electrician")):
                continue
            if remedy.only_if and not self._holds(remedy.only_if):
                continue
            self.tried.add(cause_id)
            _mended(episode, cause_id)

    def _holds(self, only: model.OnlyIf) -> bool:
        """Return whether the observation that a remedy waits for was made, making it first where these hands can."""
        check = self.network.kb.checks[only.check]
        if check.id not in self.said and roles.permitted(self.network.kb, check, self.episode.hands):
            self.episode.clear_all(check.hazards)
            self.said[check.id] = self.episode.ask(check)
        said = self.said.get(check.id)
        if said is None or check.kind != "measure":
            return said is not None and said == only.answer
        verdict = reading(self.network.kb, check.id, said, self.episode.hands).verdict
        return verdict.state == "broken" and verdict.side == only.side


def _mended(episode: Episode, cause_id: str) -> None:
    """Have a cause mended and its fix proved; hands that may not do the proof say what is left instead."""
    remedy = episode.kb.causes[cause_id].remedy
    episode.clear_all(remedy.hazards if roles.may_mend(episode.kb, remedy, episode.hands) else ())
    episode.mend(cause_id)
    proof = episode.proof_of(cause_id)
    if proof:
        episode.clear_all(proof.hazards)
        episode.prove(cause_id)
    else:
        episode.clear_all()
        episode.still()


def knowing(network: Network, installation: Installation, role: str) -> Outcome:
    """Return what it costs where everybody knows at once what is at work: the remedies, their proofs, and who must come.

    No look comes before a remedy here, not even one that a remedy waits for: what it would show is known.

    Parameters
    ----------
    network : Network
    installation : Installation
    role : str
        Who is there at first.
    """
    episode = Episode(network, installation, role)
    kb = network.kb
    own: list[str] = []
    others: list[str] = []
    unlisted = any(not o for o in installation.origins.values())
    for cause_id in [] if unlisted else episode.outcome.origins:
        remedy = kb.causes[cause_id].remedy
        mine = roles.may_mend(kb, remedy, episode.hands) or remedy.by in ("plumber", "electrician")
        (own if mine else others).append(cause_id)
    for n, cause_id in enumerate([*own, *others]):
        if n == len(own):
            episode.clear_all()
            episode.call("technician")
        if not episode.left():
            break
        _mended(episode, cause_id)
    if episode.left():
        episode.clear_all()
        episode.last_resort()
    return episode.close()
