"""Signs and what is reported of them: causes show a sign by noisy-OR, each report catches each showing or misses it.

A **showing** is one cause (or the leak) bringing a sign about. A report misses each showing by itself, so any number of denials say no
more than that the sign is not there. A report that says the sign is there caught a showing, or is a false alarm; it alone opens a
variable. What is denied stays a factor of each cause: with m the chance that every denial misses, a cause of strength s weighs
1 - s (1 - m), and of a showing that nobody denied s m / (1 - s (1 - m)) is left for the others to catch.

Source: derived here, checked against every world in the tests.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import prod
from typing import Any, ClassVar

import numpy as np

from .. import effort
from .part_tally import shown_weight
from .potentials import Array, Showing, fire_showing

# The logarithm of a smaller chance is not taken.
LEAST = 1e-300


@dataclass(frozen=True)
class NoisySign:
    """What happens, of itself or by a cause.

    Parameters
    ----------
    leak : float
        Chance that it is there with no listed cause [prob].
    links : dict of int to float
        Cause index -> strength [prob].
    """

    leak: float
    links: dict[int, float]


@dataclass(frozen=True)
class SignReport:
    """What somebody says of one sign, or of any of several.

    Parameters
    ----------
    of : tuple of int
        Places of the signs: one that is reported coarsely is there if any of its kinds is.
    hit : float
        Chance that it catches a showing [prob].
    false_alarm : float
        Chance that it says so where nothing is caught [prob].
    said : bool
        Whether it says that the sign is there.
    epoch : int
        How many remedies had been done: causes cured before it show it nothing.
    by : str
        Whose report of what kind it is, for who counts how far such reports go.
    """

    of: tuple[int, ...]
    hit: float
    false_alarm: float
    said: bool
    epoch: int = 0
    by: str = ""


@dataclass(frozen=True)
class Reported:
    """Evidence on signs that share reports.

    Parameters
    ----------
    signs : tuple of NoisySign
    reports : tuple of SignReport

    Examples
    --------
    A cause that always knocks, and somebody who hears three knocks of four and denies it: .25 of .5 is left beside .5.

    >>> knock = Reported((NoisySign(1e-9, {0: 1 - 1e-9}),), (SignReport((0,), 0.75, 0.01, False),))
    >>> shown, free = knock.likelihood([(0, None)]), knock.likelihood([])
    >>> round(0.5 * shown / (0.5 * shown + 0.5 * free), 3)
    0.2
    """

    signs: tuple[NoisySign, ...]
    reports: tuple[SignReport, ...]
    # As of any other finding that is no complaint.
    complaint: ClassVar[bool] = False
    gone_at: ClassVar[None] = None

    @property
    def said(self) -> list[int]:
        """The places of the reports that say that a sign is there."""
        return [n for n, r in enumerate(self.reports) if r.said]

    @property
    def causes(self) -> list[int]:
        """The causes that show any of the signs, ascending."""
        return sorted({i for s in self.signs for i in s.links})

    @property
    def epochs(self) -> set[int]:
        """At how many remedies done something was reported."""
        return {r.epoch for r in self.reports}

    def showings(self, cause: int | None, cured_at: int | None = None) -> list[tuple[float, float, list[int]]]:
        """Return how one cause, or the leak for None, shows each sign.

        Parameters
        ----------
        cause : int, optional
        cured_at : int, optional
            The remedy that cured it: it showed what was reported before.

        Returns
        -------
        list of (float, float, list of int)
            For each sign: the chance that no denial catches it, of what is left the chance that it shows, and the places of the
            positive reports that may catch it.
        """
        out = []
        for k, sign in enumerate(self.signs):
            strength = sign.leak if cause is None else sign.links.get(cause, 0.0)
            if not strength:
                continue
            about = [n for n, r in enumerate(self.reports) if k in r.of and (cured_at is None or r.epoch < cured_at)]
            missed = prod(1 - self.reports[n].hit for n in about if not self.reports[n].said)
            quiet = 1 - strength * (1 - missed)
            left = strength * missed / quiet if quiet > 0 else 0.0
            out.append((quiet, left, [n for n in about if self.reports[n].said]))
        return out

    def likelihood(self, at_work: Sequence[tuple[int, int | None]]) -> float:
        """Return the chance of all reports where some causes are present, and nothing else.

        Parameters
        ----------
        at_work : sequence of (int, int or None)
            Cause, and the remedy that cured it.
        """
        return float(self.likelihoods(at_work, np.ones((1, len(at_work))))[0])

    def likelihoods(self, atoms: Sequence[tuple[int, int | None]], member: Array) -> Array:
        """Return the chance of all reports in each of several sets of causes.

        Parameters
        ----------
        atoms : sequence of (int, int or None)
            Cause, and the remedy that cured it.
        member : array (sets, atoms)
            1 where an atom is in a set.
        """
        said = self.said
        place = {n: axis for axis, n in enumerate(said)}
        denied = prod(1 - r.false_alarm for r in self.reports if not r.said)
        if len(said) > 1:
            return self._by_table(atoms, member, place, denied)
        quiet, silent = np.zeros(len(atoms) + 1), np.zeros(len(atoms) + 1)
        shows = {*self.causes}
        for n, (cause, cured_at) in enumerate([(None, None), *atoms]):
            if cause is None or cause in shows:
                for free, left, caught in self.showings(cause, cured_at):
                    quiet[n] += np.log(max(free, LEAST))
                    silent[n] += np.log(max(1 - left * self.reports[caught[0]].hit, LEAST)) if caught else 0.0
        weight: Array = denied * np.exp(quiet[0] + member @ quiet[1:])
        if said:
            weight *= 1 - (1 - self.reports[said[0]].false_alarm) * np.exp(silent[0] + member @ silent[1:])
        return weight

    def _by_table(
        self, atoms: Sequence[tuple[int, int | None]], member: Array, place: dict[int, int], denied: float
    ) -> Array:
        """Return the chance of all reports in each set where several are positive: by which of them caught something so far."""
        effort.spend(len(member) * (1 + len(atoms) * len(self.signs)) * 2 ** len(place))
        table = np.zeros((2,) * len(place) + (len(member),))
        table[(0,) * len(place)] = denied
        own: list[tuple[int | None, int | None, Array]] = [(None, None, np.ones(len(member)))]
        own += [(cause, cured_at, member[:, n]) for n, (cause, cured_at) in enumerate(atoms)]
        for cause, cured_at, in_set in own:
            for quiet, left, caught in self.showings(cause, cured_at):
                table *= np.where(in_set > 0, quiet, 1.0)
                if caught:
                    fire_showing(table, Showing(left * in_set, [(place[n], self.reports[n].hit) for n in caught]))
        for n in reversed(self.said):
            missed, seen = np.take(table, 0, axis=place[n]), np.take(table, 1, axis=place[n])
            table = seen + self.reports[n].false_alarm * missed
        return table


def chance_of_next(reported: Reported, report: SignReport, member: Array) -> Array:
    """Return the chance that one more report says that its sign is there, given those so far, in each of several sets of causes.

    Parameters
    ----------
    reported : Reported
        What was said so far; may be of no report.
    report : SignReport
        The next one, as positive.
    member : array (sets, causes)
        1 where a cause is at work, for `reported.causes` in turn.

    Examples
    --------
    Who says it again adds what a second report adds: at a false alarm of one in ten, after one yes the next is likelier.

    >>> seen = SignReport((0,), 0.9, 0.1, True)
    >>> first = chance_of_next(Reported((NoisySign(0.5, {}),), ()), seen, np.zeros((1, 0)))
    >>> again = chance_of_next(Reported((NoisySign(0.5, {}),), (seen,)), seen, np.zeros((1, 0)))
    >>> [round(float(p[0]), 3) for p in (first, again)]
    [0.505, 0.83]
    """
    atoms: list[tuple[int, int | None]] = [(c, None) for c in reported.causes]
    before = reported.likelihoods(atoms, member)
    after = Reported(reported.signs, (*reported.reports, report)).likelihoods(atoms, member)
    return np.divide(after, before, out=np.zeros_like(after), where=before > 0)


@dataclass
class UnlistedShowing:
    """A showing of which no listed cause is the author, and which several positive reports may have caught: a part without a cause.

    Parameters
    ----------
    variables : tuple of int
        Of the reports.
    showing : Showing
        By variable.
    """

    variables: tuple[int, ...]
    showing: Showing
    scope: int = field(init=False)

    def __post_init__(self) -> None:
        self.scope = sum(1 << v for v in self.variables)

    def whole(self, absent_only: bool) -> float:
        """Return its whole weight; it always touches something."""
        raise ValueError("a showing touches the variables of its reports; expected it in a bucket")

    def read_alone(self, read: object) -> None:
        """Nothing is known of it."""

    def expand(self, scope: tuple[int, ...]) -> "ExpandedShowing":
        """Return it ready to be taken into tables over a scope."""
        return ExpandedShowing(self, self.showing.placed({v: axis for axis, v in enumerate(scope)}))


@dataclass(frozen=True)
class ExpandedShowing:
    """An unlisted showing by a table's axes."""

    of: UnlistedShowing
    showing: Showing

    def step(self, v: Array) -> Array:
        """Return a table after the showing was taken in."""
        out = v.copy()
        fire_showing(out, self.showing)
        return out

    def step_absent(self, v: Array) -> Array:
        """Return a table after the showing was taken in: it stands apart from whether any cause is there."""
        return self.step(v)

    def adjoint(self, before: Array, u: Array, standing: list[int], read: Any) -> Array:
        """Return the transpose of `step`, and enter how likely it happened where more is read."""
        if read.tally is not None:
            read.tally.unlisted[id(self.of)] = shown_weight(before, self.showing, u)
        out = u.copy()
        fire_showing(out, self.showing, backward=True)
        return out


def joined(signs: Sequence[NoisySign], reports: Iterable[SignReport]) -> list[tuple[tuple[int, ...], Reported]]:
    """Return reports in groups that share signs: the places of a group's signs, and the group with these signs alone.

    Examples
    --------
    >>> one, two = SignReport((0,), 0.9, 0.01, True), SignReport((1, 2), 0.9, 0.01, False)
    >>> [places for places, _ in joined([NoisySign(0.1, {})] * 3, [one, two])]
    [(0,), (1, 2)]
    """
    groups: list[tuple[set[int], list[SignReport]]] = []
    for report in reports:
        own = {*report.of}
        mine, groups = [g for g in groups if g[0] & own], [g for g in groups if not g[0] & own]
        groups.append((own.union(*(g[0] for g in mine)), [*(r for g in mine for r in g[1]), report]))
    out = []
    for places in sorted(tuple(sorted(g)) for g, _ in groups):
        some = next(rs for g, rs in groups if places[0] in g)
        at = {k: n for n, k in enumerate(places)}
        told = tuple(SignReport(tuple(at[k] for k in r.of), r.hit, r.false_alarm, r.said, r.epoch, r.by) for r in some)
        out.append((places, Reported(tuple(signs[k] for k in places), told)))
    return out
