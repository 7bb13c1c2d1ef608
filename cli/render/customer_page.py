"""The customer's page of an acceptance sheet: what was done, what is left and who does it, and both signatures."""

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...engine.survey.customer import Customer


# Labelled by itself: on a phone the table has no head.
BOX = "&#9744; I don't want this done. Initials:"


def section(of: "Customer") -> str:
    """Return the customer's page as a part of a document.

    Parameters
    ----------
    of : Customer
        From `engine.survey.customer`.
    """
    out = []
    if of.stop:
        head = "First of all" if of.phone else "DON'T RUN IT"
        out.append(f'<div class="stop"><h2>{head}</h2>{_list(of.stop)}</div>')
    out.append(f"<p><b>{escape(of.verdict)}</b></p>")
    if of.to_do:
        rows = "".join(
            f"<tr><td>{escape(t.what)}{_why(t.why)}</td><td>{escape(t.by)}</td><td>{BOX if t.may_decline else ''}</td></tr>"
            for t in of.to_do
        )
        out.append(
            f"<h2>{'To be put right before the van comes' if of.phone else 'To be done'}</h2><table><thead><tr><th>What</th><th>By whom</th><th>Or not wanted</th></tr></thead>"
            f"<tbody>{rows}</tbody></table>"
        )
    if of.declined:
        out += ["<h2>Declined by the customer</h2>", _list(of.declined)]
    if of.not_seen:
        head = "Still to be asked" if of.phone else "Not seen yet"
        out.append(f"<h2>{head}</h2><p>{escape('; '.join(of.not_seen))}.</p>")
    if of.told:
        head = "As it must be, by what you told us; we look again" if of.phone else "Told to us, not looked at by us"
        out += [f"<h2>{head}</h2>", _list(of.told)]
    if of.phone:
        return "".join([*out, "<h2>Whom to call</h2>", _list(of.call), '<p class="by-hand">Our number:</p>'])
    out += ["<h2>Done and seen</h2>", _list(of.done, "two") if of.done else "<p>Nothing yet.</p>"]
    out.append(f'<h2>Keep</h2><p class="by-hand">{escape(of.bolts)}</p>')
    out += ["<h2>From now on</h2>", _list(of.habits, "two")]
    if of.noises:
        out += ["<h2>Healthy, though it may sound otherwise</h2>", _list(of.noises)]
    out += ["<h2>Whom to call</h2>", _list(of.call), '<p class="by-hand">Our number:</p>']
    return "".join(out)


def _list(texts: list[str], kind: str = "") -> str:
    """Return a list; on paper one of the kind two stands in two columns."""
    items = "".join(f"<li>{escape(t)}</li>" for t in texts)
    return f'<ul class="{kind}">{items}</ul>' if kind else f"<ul>{items}</ul>"


def _why(why: str) -> str:
    return f"<small class='b'>If it stays so: {escape(why)}.</small>" if why else ""
