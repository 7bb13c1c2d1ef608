"""The desks' journals held against the store: nothing that was confirmed is lost, nothing is there twice, nobody was told wrongly."""

import re

from dryfloor.cli.store.store import Store

DOUBT = "not known"  # how a page says that it does not know whether something was kept


def held(desks, place):
    """Return what is wrong, a sentence each, and how much was looked at.

    Parameters
    ----------
    desks : list of Desk
    place : ServerPlace

    Returns
    -------
    list of str
    dict of int
        said, kept, unknown.
    """
    wrong = []
    said = [s for d in desks for s in d.journal]
    with Store.open(place, write=False) as store:
        rows, references = {}, {}
        for case, body in store._db.execute("SELECT of, body FROM rows ORDER BY number").fetchall():
            rows.setdefault(case, []).append(body)
        for case, reference in store._db.execute("SELECT id, reference FROM cases").fetchall():
            references.setdefault(reference, []).append(case)
        wrong += [text for text in store.verify()[2] if not text.startswith("The server")]
    by_name = {}
    for s in said:
        if s.names:
            by_name.setdefault((s.case if " call " not in s.names else "", s.names), []).append(s)
    for (case, names), group in by_name.items():
        if case or " call " not in names:
            found = sum(_names(body, names) for body in rows.get(case, []))
        else:
            found = len(references.get(names.strip('"'), []))
        kept = sum(s.ever for s in group)
        # Of what was not confirmed each thing may be there once, however often it was sent.
        most = len(group)
        what = (
            f"{names} in case {case or group[0].case}: confirmed {kept} times, there {found} times, said {most} times"
        )
        if found < kept:
            wrong.append(f"LOST: {what}")
        if found > most:
            wrong.append(f"TWICE: {what}")
        refused = [s for s in group if s.state == "refused" and s.sent == 1]
        if len(group) == len(refused) == 1 and found and DOUBT not in refused[0].told:
            wrong.append(f"TOLD WRONGLY that it is not kept: {what}; {refused[0].told[:120]}")
    states = {state: sum(s.state == state for s in said) for state in ("kept", "refused", "unknown")}
    return wrong, {"said": len(said), **states}


def _names(body, names):
    # `can't` of a remedy names it with its kind before it; which complaints are left has a row of its own kind.
    if names == '"still-there"':
        return body.startswith('{"still"')
    return bool(re.search(rf"(?<=[:\[]){re.escape(names)}(?=[,}}\]])", body.replace('"remedy:', '"')))
