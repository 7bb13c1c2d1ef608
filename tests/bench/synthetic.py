"""Made-up kbs of any size with local structure: what a complaint touches is bounded, however many districts the kb has.

A kb is a row of districts of 50 causes. A district has its own complaints, facts, hazards, parts, rules and checks, about as many
for each cause as the shipped kb; its causes show the complaints and answers of their own district and, now and then, an answer of
the one before. A district's files hang on the seed and its number alone, so a kb of 10 000 causes holds the one of 100, and a case
of the first district should get the same advice from both. Words are pronounceable nonsense; every number is invented.
"""

import random
from collections.abc import Iterator
from pathlib import Path

CAUSES, COMPLAINTS, FACTS, HAZARDS, PARTS = 50, 5, 5, 10, 12  # of each district
MEASURED, UNMEASURED, STATES, LOOKS = 15, 10, 26, 77
GENERAL = 200  # words that all districts share
# From `per_1000` to the chance of a cause: the same in every size, so that a part of the kb means the same in all of them. The
# episode rate, which the engine shares out over all causes, grows with their number and must stay under 1 in the largest kb.
SCALE = 0.06
LARGEST = 10_000
BY = ("anyone", "technician", "plumber", "electrician")
STRENGTHS = ("unlikely", "even", "likely", "sure")

SINGLES = {
    "sources.yaml": "- {title: invented for measuring, id: invented, grade: judgement}\n",
    "roles.yaml": """\
roles:
  - {title: Homeowner, id: homeowner, per_minute: {n: 1, basis: judgement}, default_hands: homeowner, may: [anyone],
     hand_on_to: technician, hand_on_fee: {n: 90, basis: judgement}, gross_error_per_1000: {n: 30, basis: judgement}}
  - {title: Desk, id: desk, per_minute: {n: 1, basis: judgement}, default_hands: homeowner, may: [anyone],
     hand_on_to: technician, hand_on_fee: {n: 80, basis: judgement}, gross_error_per_1000: {n: 40, basis: judgement}}
  - {title: Technician, id: technician, per_minute: {n: 1.5, basis: judgement}, default_hands: technician, may: [anyone, technician],
     hand_on_to: specialist, hand_on_fee: {n: 240, basis: judgement}, gross_error_per_1000: {n: 5, basis: judgement}}
trades:
  - {title: Technician, id: technician, fee: {n: 90, basis: judgement}, per_minute: {n: 1.5, basis: judgement}}
  - {title: Plumber, id: plumber, fee: {n: 120, basis: judgement}, per_minute: {n: 2, basis: judgement}}
  - {title: Electrician, id: electrician, fee: {n: 120, basis: judgement}, per_minute: {n: 2, basis: judgement}}
  - {title: Specialist, id: specialist, fee: {n: 240, basis: judgement}, per_minute: {n: 2.5, basis: judgement}}
price_unit: {n: 1, basis: judgement}
""",
}


def word(n: int) -> str:
    """Return the n-th nonsense word, another one for every n below 140 608.

    Examples
    --------
    >>> word(0), word(1)
    ('bababak', 'turorik')
    """
    left, out = n * 61_357 % 52**3, ""
    for _ in range(3):
        left, at = divmod(left, 52)
        out += "bdfgklmnprtvz"[at % 13] + "aiou"[at // 13]
    return out + "k"


class District:
    """One district: its words, its checks and its share of every file.

    Parameters
    ----------
    number : int
        Its place in the row; the causes of every district but the first show answers of the one before, too.
    seed : int
    """

    def __init__(self, number: int, seed: int) -> None:
        self.name = f"{number:03}"
        self.before = f"{number - 1:03}" if number else None
        self.dice = random.Random(f"{seed}/{number}")
        self.words = [word(GENERAL + 40 * number + i) for i in range(40)]
        self.shares = [self.dice.choice(((700, 300), (500, 300, 200), (850, 150))) for _ in range(FACTS)]
        self.listed = 0.0  # chance of its causes that were written so far, before the scale
        self.telling = [self.dice.choice((1, 1, 2)) for _ in range(LOOKS)]  # answers of each look but the normal one

    def complaints(self) -> Iterator[str]:
        """Yield its complaints, each said in words of the district and one that all districts share."""
        for c in range(COMPLAINTS):
            own = self.words[6 * c : 6 * c + 6]
            said = {
                f"{self.dice.choice(own)} {word(self.dice.randrange(GENERAL))} {self.dice.choice(own)}"
                for _ in range(22)
            }
            yield (
                f"- title: Trouble {self.name}-{c}\n  id: trouble-{self.name}-{c}\n  says: {own[0]} {own[1]} at the {own[2]}\n"
                f"  hear: [{', '.join(sorted(said))}]\n  gates: [hazard-{self.name}-{c % 3}]\n"
                f"  unlisted_per_1000: {{n: 1, basis: judgement}}\n"
            )

    def facts(self) -> Iterator[str]:
        """Yield its facts, of two or three options."""
        for f, shares in enumerate(self.shares):
            options = ", ".join(
                f"kind-{o}: {{says: kind {o}, share_per_1000: {s}, hear: [{self.words[30 + f]} {self.words[35 + o]}]}}"
                for o, s in enumerate(shares)
            )
            yield (
                f"- title: Kind {self.name}-{f}\n  id: kind-{self.name}-{f}\n  ask: {{homeowner: Which {self.words[30 + f]} is there?, "
                f"desk: Could you say which {self.words[30 + f]} it is?, technician: {self.words[30 + f]}?}}\n"
                f"  options: {{{options}}}\n  minutes: {{homeowner: 1, technician: 0.5}}\n"
            )

    def hazards(self) -> Iterator[str]:
        """Yield its hazards: the first three have a gate, the last three are never met by a homeowner."""
        for h in range(HAZARDS):
            head = f"- title: Hazard {self.name}-{h}\n  id: hazard-{self.name}-{h}\n  says: An invented hazard, to be kept clear of.\n"
            if h < 3:
                w = self.words[9 * h]
                yield (
                    f"{head}  signal: DANGER\n  hear: [{w} {self.words[39]}, {w} {self.words[38]}]\n"
                    f"  gate: {{ask: {{homeowner: Is the {w} clear?, desk: Can you see that the {w} is clear?, technician: {w} clear?}}, "
                    f"word: clear, do_now: [keep away], call: an electrician}}\n"
                )
            else:
                yield head + "  signal: CAUTION\n" + ("  never: [homeowner]\n" if h >= 7 else "")

    def parts(self) -> Iterator[str]:
        """Yield its parts."""
        for p in range(PARTS):
            yield f"- {{title: part {self.name}-{p}, id: part-{self.name}-{p}, price: {{n: {self.dice.randint(2, 60)}, basis: judgement}}}}\n"

    def decoys(self) -> Iterator[str]:
        """Yield a healthy installation for each complaint."""
        for c in range(COMPLAINTS):
            yield f"- {{name: sound {self.name}-{c}, complaint: trouble-{self.name}-{c}, role: technician}}\n"

    def rules(self) -> str:
        """Return its rules: lengths that a check measures, lengths that none does, states, and one that is worked out."""
        end = "  authority: practice\n  sources: [{source: invented}]\n"
        out = []
        for r in range(MEASURED + UNMEASURED):
            low = self.dice.randint(10, 40)
            out.append(
                f"- title: Height {self.name}-{r}\n  id: height-{self.name}-{r}\n  measures: length\n  of: top of {self.words[r]}\n"
                f"  min: {low} in\n  max: {low + self.dice.randint(5, 40)} in\n  plausible: 1 in to 120 in\n"
                f"  otherwise_per_1000: {{below: 0.4, above: 0.2}}\n  below: Too low.\n  above: Too high.\n"
                f"  neighbours: [{{rule: state-{self.name}-{r}, differs: that one is a state}}]\n{end}"
            )
        for r in range(STATES):
            out.append(
                f"- title: State {self.name}-{r}\n  id: state-{self.name}-{r}\n  measures: state\n  must: {self.words[r]} sits flat\n"
                f"  of: the {self.words[r]}\n  broken: It does not sit flat.\n{end}"
            )
        out.append(
            f"- title: Margin {self.name}\n  id: margin-{self.name}\n  measures: rise\n  of: margin over the {self.words[0]}\n"
            f"  min: 0 in\n  plausible: -200 in to 200 in\n  otherwise_per_1000: 0.4\n  below: Too small.\n"
            f"  model: {{working: hose-siphon, gives: above, takes: {{standpipe: {{check: height-{self.name}-0}}, "
            f"insertion: {{value: 6 in, give_or_take: 2 in, basis: judgement}}, "
            f"water_line: {{value: 15 in, give_or_take: 1 in, basis: judgement}}}}}}\n{end}"
        )
        return "".join(out)

    def checks(self) -> str:
        """Return its checks; every fourth is for a technician alone, every third meets a hazard."""
        out = []
        for n in range(MEASURED + LOOKS):
            k, expert, met = n - MEASURED, n % 4 == 3, n % 3 == 1
            w = self.words[n % 40]
            head = f"- title: {'Height' if k < 0 else 'Look'} {self.name}-{n if k < 0 else k}\n"
            asked = (
                f"technician: {w} {n}?"
                if expert
                else f"homeowner: How is {w} {n}?, desk: Could you tell me how {w} {n} is?, technician: {w} {n}?"
            )
            minutes = "" if expert else f"homeowner: {self.dice.randint(1, 6)}, "
            tail = f"  ask: {{{asked}}}\n  how: Look at the {w} from the front.\n  minutes: {{{minutes}technician: {self.dice.randint(1, 4)}}}\n"
            tail += f"  hazards: [hazard-{self.name}-{n % 7}]\n" if met else "  why_no_hazard: only looked at\n"
            if k < 0:
                out.append(
                    f"{head}  id: height-{self.name}-{n}\n  kind: measure\n  rule: height-{self.name}-{n}\n"
                    f"  give_or_take: {{homeowner: 1 in, technician: 1/2 in}}\n{tail}"
                )
                continue
            rule = f"  rule: state-{self.name}-{k}\n" if k < STATES else "  why_no_rule: a symptom\n"
            answers = "".join(
                f"    off-{a}: {{says: off in way {a}, leak_per_1000: {0.3 + 0.1 * a:g}}}\n"
                for a in range(self.telling[k])
            )
            out.append(
                f"{head}  id: look-{self.name}-{k}\n  kind: look\n{rule}{tail}  answers:\n{answers}    sound: {{says: sound}}\n"
            )
        return "".join(out)

    def cause(self, c: int) -> str:
        """Return a cause: a tenth of the district's causes have each complaint as their own, and some show its neighbours too."""
        dice, name, own = self.dice, self.name, c * COMPLAINTS // CAUSES
        near = [own, *[(own + step) % COMPLAINTS for step in dice.choice(((), (1,), (1,), (1, -1)))]]
        shows = [f"  - {{complaint: trouble-{name}-{o}, strength: {dice.choice(STRENGTHS[1:])}}}\n" for o in near]
        # Looks go round the complaints; most of those that show a cause belong to its own complaint.
        looks = {own + COMPLAINTS * dice.randrange(LOOKS // COMPLAINTS) for _ in range(6)}
        looks |= {near[-1] + COMPLAINTS * dice.randrange(LOOKS // COMPLAINTS) for _ in range(2)}
        for k in sorted(looks):
            shows.append(
                f"  - {{check: look-{name}-{k}, answer: off-{dice.randrange(self.telling[k])}, strength: {dice.choice(STRENGTHS)}}}\n"
            )
        far = dice.randrange(LOOKS)
        if self.before and dice.random() < 0.2:
            shows.append(f"  - {{check: look-{self.before}-{far}, answer: off-0, strength: unlikely}}\n")
        kind = dice.random()
        breaks, side = "why_no_rule: no rule speaks of it\n", ""
        proof = f"{{check: look-{name}-{min(looks)}, passes: sound}}"
        if kind < 0.4:
            at, side = own + COMPLAINTS * dice.randrange(MEASURED // COMPLAINTS), dice.choice(("below", "above"))
            breaks = f"breaks: {{rule: height-{name}-{at}, side: {side}}}\n"
            proof = f"{{check: height-{name}-{at}, passes: within}}"
        elif kind < 0.75:
            breaks = f"breaks: {{rule: state-{name}-{dice.randrange(STATES)}}}\n"
        parents = [f"kind-{name}-{own}", f"kind-{name}-{near[-1]}"]
        option = dice.randrange(2) if dice.random() < 0.2 else None
        when = "" if option is None else f"when: {{{parents[0]}: kind-{option}}}\n"
        per_1000 = dice.choice((0.25, 0.5, 1, 1, 2, 4))
        self.listed += per_1000 / 1000 * (1 if option is None else self.shares[own][option] / 1000)
        likelier = (
            f"likelier: [{{when: {{{dice.choice(parents)}: kind-{dice.randrange(2)}}}, times: {{n: 2, basis: judgement}}}}]\n"
            if dice.random() < 0.6
            else ""
        )
        by = dice.choices(BY, (45, 30, 15, 10))[0]
        only = f"  only_if: {{check: height-{name}-{at}, side: {side}}}\n" if side and dice.random() < 0.4 else ""
        parts = f"  parts: [part-{name}-{dice.randrange(PARTS)}]\n" if dice.random() < 0.4 else ""
        met = (
            f"hazards: [hazard-{name}-{dice.randrange(7 if by == 'anyone' else HAZARDS)}]"
            if dice.random() < 0.4
            else "why_no_hazard: none"
        )
        case = f"given: {{complaints: [trouble-{name}-{own}], answers: {{look-{name}-{max(looks)}: off-0}}}}, expect: {{}}}}\n"
        return (
            f"title: {self.words[c % 40].capitalize()} slack at {name}-{c}\nsays: It sits slack at place {c}.\nkind: install\n{when}"
            f"per_1000: {{n: {per_1000:g}, basis: judgement}}\n{likelier}{breaks}shows:\n{''.join(shows)}"
            f"mistaken_for:\n  - {{cause: slack-{name}-{(c + 1) % CAUSES:02}, tell: look which of the two moves}}\n"
            f"remedy:\n  title: Set it right at {name}-{c}\n{only}  cures: likely\n  steps: [set it right]\n  by: {by}\n"
            f"  minutes: {dice.randint(3, 60)}\n{parts}  {met}\nproof: {proof}\ncases:\n  - {{name: one, {case}  - {{name: two, {case}"
        )


def files(causes: int, seed: int = 0) -> Iterator[tuple[str, str]]:
    """Yield the files of a kb: path in its folder, text.

    Parameters
    ----------
    causes : int
        How many, a multiple of 50 up to 10 000: from there on complaints.yaml would pass the loader's limit of 1 MB a file.
    seed : int

    Raises
    ------
    ValueError
        For any other number of causes.

    Examples
    --------
    >>> len([*files(100)])  # 100 causes, 4 files of rules and checks, 8 lists
    112
    """
    if causes % CAUSES or not 0 < causes <= LARGEST:
        raise ValueError(f"{causes} causes: expected a multiple of {CAUSES} up to {LARGEST}")
    yield from SINGLES.items()
    lists: dict[str, list[str]] = {name: [] for name in ("complaints", "facts", "hazards", "parts", "decoys")}
    listed = 0.0
    for number in range(causes // CAUSES):
        d = District(number, seed)
        for name, rows in lists.items():
            rows += getattr(d, name)()
        yield f"rules/district-{d.name}.yaml", d.rules()
        yield f"checks/district-{d.name}.yaml", d.checks()
        for c in range(CAUSES):
            yield f"causes/district-{d.name}/slack-{d.name}-{c:02}.yaml", d.cause(c)
        listed += d.listed
    for name, rows in lists.items():
        yield f"{name}.yaml", "".join(rows)
    yield (
        "scales.yaml",
        "scale: four words of an invented scale\nsource: invented\nwords: {unlikely: 0.3, even: 0.5, likely: 0.7, sure: 0.9}\n"
        f"breaks_strength: {{n: 0.99, basis: judgement}}\nepisode_rate: {{n: {SCALE * listed!r}, basis: judgement}}\n"
        "bases: {leak_per_1000: judgement}\n",
    )


def write(folder: Path, causes: int, seed: int = 0) -> None:
    """Write a kb of so many causes into a folder."""
    for rel, text in files(causes, seed):
        path = folder / rel
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
