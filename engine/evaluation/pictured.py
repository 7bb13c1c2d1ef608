"""The pictures of a kb held against the scenes that there are, and whoever has none that should.

Like the words (`lint`) these are no faults of form: a kb that has some can still be walked, and shows no picture there.
"""

from collections.abc import Iterator

from .. import model
from ..advising.illustrations import of_check, of_remedy
from ..errors import Problem, nearest, one_of
from ..pictures.scenes.catalog import SCENES
from ..pictures.scenes.drawing import Scene
from .lint import problem_at

SEEN = ("look", "measure")  # kinds of checks of which a homeowner sees something
FEWEST = 10  # of so many, one may say why it has no picture


def problems(kb: model.KB) -> list[Problem]:
    """Return every picture that can't be drawn, and every look, measurement and remedy of a homeowner that has none.

    Parameters
    ----------
    kb : KB

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> [p.code for p in problems(load_kb())]
    []
    """
    found = [*_drawable(kb), *_missing(kb)]
    return sorted(found, key=lambda p: (p.file, p.line, p.code, p.message))


def _pictures(kb: model.KB) -> Iterator[tuple[str, str, model.Picture]]:
    """Yield every picture with its entry and its field."""
    tables: list[tuple[str, dict[str, model.Rule] | dict[str, model.Check] | dict[str, model.Hazard]]]
    tables = [("rules", kb.rules), ("checks", kb.checks), ("hazards", kb.hazards)]
    for table, entries in tables:
        for name, record in entries.items():
            if record.picture:
                yield f"{table}/{name}", "picture", record.picture
    for cause in kb.causes.values():
        for n, picture in enumerate(cause.remedy.pictures, 1):
            yield f"causes/{cause.id}", f"picture {n} of the remedy", picture


def _drawable(kb: model.KB) -> Iterator[Problem]:
    for place, field, picture in _pictures(kb):
        scene = SCENES.get(picture.scene)
        if scene is None:
            yield problem_at(
                kb,
                place,
                "K171",
                f"'{field}' names the scene '{picture.scene}', which is not there",
                expected=one_of(SCENES, 20),
                nearest=nearest(picture.scene, SCENES),
                mend="dryfloor kb picture lists the scenes with their marks and states",
            )
            continue
        yield from _named(kb, place, field, picture, scene)
        yield from _sensible(kb, place, field, picture)


def _named(kb: model.KB, place: str, field: str, picture: model.Picture, scene: Scene) -> Iterator[Problem]:
    states = [s for s in (picture.state, picture.right, picture.wrong) if s]
    for what, names, known in (("mark", picture.marks, scene.marks), ("state", states, scene.states)):
        for name in names:
            if name not in known:
                yield problem_at(
                    kb,
                    place,
                    "K172",
                    f"'{field}': the scene '{picture.scene}' has no {what} '{name}'",
                    expected=one_of(known, 20) or f"no {what}: it has none",
                    nearest=nearest(name, known),
                    mend=f"name one of its {what}s",
                )


def _sensible(kb: model.KB, place: str, field: str, picture: model.Picture) -> Iterator[Problem]:
    if picture.wrong and (not picture.right or picture.right == picture.wrong):
        yield problem_at(
            kb,
            place,
            "K173",
            f"'{field}' shows what is wrong and not, beside it, what is right",
            expected="right and wrong, two states",
            mend="add right:",
        )
    if picture.right and picture.state:
        yield problem_at(
            kb,
            place,
            "K173",
            f"'{field}' has a state beside right and wrong",
            expected="state, or right and wrong",
            mend="leave state: out",
        )
    for mark, take in picture.sizes.items():
        if take.check and take.check not in kb.checks:
            yield problem_at(
                kb,
                place,
                "K173",
                f"'{field}' takes '{mark}' from the check '{take.check}', which is not there",
                expected=one_of(kb.checks),
                nearest=nearest(take.check, kb.checks),
                mend="name a check that measures it",
            )
    if isinstance(picture, model.StepPicture):
        yield from _beside(kb, place, field, picture)


def _beside(kb: model.KB, place: str, field: str, picture: model.StepPicture) -> Iterator[Problem]:
    """Yield what is wrong with the step of a picture, or with the rule whose limit it takes."""
    cause = kb.causes[place.partition("/")[2]]
    if picture.step > len(cause.remedy.steps):
        yield problem_at(
            kb,
            place,
            "K173",
            f"'{field}' stands beside step {picture.step}",
            expected=f"a step from 1 to {len(cause.remedy.steps)}",
            mend="correct step:",
        )
    broken = cause.breaks.rule if cause.breaks else None
    rule = kb.rules.get(picture.rule or broken or "")
    if picture.rule and rule is None:
        yield problem_at(
            kb,
            place,
            "K173",
            f"'{field}' takes the limit of the rule '{picture.rule}', which is not there",
            expected="a rule of this kb",
            nearest=nearest(picture.rule, kb.rules),
            mend="name a rule that says how much it must be",
        )
    elif rule and (rule.min or rule.max) and picture.marks and not _measured_at(kb, rule, picture):
        yield problem_at(
            kb,
            place,
            "K173",
            f"'{field}' marks '{picture.marks[0]}' and would write the limit of '{rule.id}' there, which is measured elsewhere",
            expected=f"rule:, a rule whose own picture marks '{picture.marks[0]}' of '{picture.scene}'",
            mend="add rule: to the picture, or drop its marks",
        )


def _measured_at(kb: model.KB, rule: model.Rule, picture: model.Picture) -> bool:
    """Return whether a rule is measured at the first mark of a picture: its own picture, or that of a check of it, says so."""
    own = [rule.picture, *(c.picture for c in kb.checks.values() if c.rule == rule.id)]
    return any(p is not None and p.scene == picture.scene and p.marks[:1] == picture.marks[:1] for p in own)


def owed(kb: model.KB) -> list[tuple[str, bool, str | None]]:
    """Return each look, measurement and remedy that a homeowner may do, whether it has a picture, and why it has none where it says so.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> rows = owed(load_kb())
    >>> len(rows) > 200, 10 * sum(1 for _, drawn, _ in rows if not drawn) <= len(rows)
    (True, True)
    """
    looks = [c for c in kb.checks.values() if c.kind in SEEN and c.minutes.homeowner is not None]
    mends = [c for c in kb.causes.values() if c.remedy.by == "anyone"]
    return [
        *((f"checks/{c.id}", bool(of_check(kb, c)), c.why_no_picture) for c in looks),
        *((f"causes/{c.id}", bool(of_remedy(kb, c)), c.remedy.why_no_picture) for c in mends),
    ]


def _missing(kb: model.KB) -> Iterator[Problem]:
    """Yield whoever should have a picture and has none, and all who say why not where these are too many."""
    shown = owed(kb)
    for place, drawn, why in shown:
        if drawn == bool(why):
            yield problem_at(
                kb,
                place,
                "K174",
                f"'{place.partition('/')[2]}' has {'a picture and' if why else 'neither a picture nor'} why_no_picture",
                expected="one of the two, for what a homeowner looks at, measures or mends",
                mend="drop why_no_picture" if why else "add picture:, or say why_no_picture:",
            )
    silent = [place for place, _, why in shown if why]
    if len(silent) * FEWEST > len(shown):
        yield problem_at(
            kb,
            silent[-1],
            "K175",
            f"{len(silent)} of {len(shown)} say why_no_picture",
            expected=f"at most one in {FEWEST}",
            mend="draw some of them",
        )
