"""What a machine's display says: plain words are heard as what they mean; a code is left to the machine's own manual.

The words are those that machines print for a person to read. A code of letters and digits means another thing on every machine: none is
known here, and none is guessed.
"""

import re

MEANS = {  # what is shown in plain words -> the complaint that it names
    "slow-fill": r"(?:no|low|check|add)(?: the)? water(?! in| on| left)(?: supply| inlet| pressure| tap)?"
    r"|(?:check(?: the)? )?(?:water )?supply|(?:open|check)(?: the)? (?:taps?|faucets?|inlet)",
    "walks": r"un-?balanced?(?: load)?|out of balance|imbalanced?|balance|redistribute(?: load| laundry)?",
    "no-drain": r"(?:(?:not?|check|clean)(?: the)? )?(?:drain|drainage|draining|pump)(?: (?:error|filter|fault|hose|pump))?"
    r"|(?:check|clean)(?: the)? (?:filter|drain filter|pump filter)",
    "first-run": r"(?:(?:open|close|shut|check|lock)(?: the)? )?(?:door|lid)(?: (?:open|lock|locked|error|fault))?"
    r"|(?:child|control|panel|key) lock(?:ed)?|locked",
    "suds-or-smell": r"(?:too (?:much|many) |over-?|excess )?(?:suds|sudsing|foam)(?: (?:error|lock))?"
    r"|clean(?: the)? (?:tub|drum|washer)|tub clean",
    "wrong-temperature": r"heater(?: (?:error|fault))?|(?:no )?heat(?:ing)?(?: error| fault)?|(?:check )?temp(?:erature)?",
}
_SHOWS = (
    r"(?:says?|said|saying|shows?|showed|showing|reads?|reading|flash(?:es|ed|ing)?|blink(?:s|ed|ing)?|displays?|displaying"
    r"|prints?|(?:lights?|comes?|came) up|claims?|stops? with|stopped with|message|error|warning|symbol)"
)
_ON = r"(?:is |was |comes up |lights? up |lit |flashing |blinking )?(?:on|in) (?:the|its|my) (?:display|screen|panel|readout|window)"
_QUOTE = "[\"'\u201c\u201d\u2018\u2019]?"
_ENDS = (
    r"(?=\s*(?:$|[.,;:!?]|(?:and|but|then|again|every|each|now|all|on the|when|at the|before|after|in the middle)\b))"
)
_CODE_ALONE = r"[a-z]{1,2}[- ]?\d{1,3}|\d{1,2}[a-z]{1,2}|[a-z]\d?[a-z]?"
_FOUND = {
    complaint: re.compile(
        rf"\b{_SHOWS}:? (?:the words? |it's |is )?{_QUOTE}(?:{words}){_QUOTE}{_ENDS}"
        rf"|{_QUOTE}\b(?:{words}){_QUOTE} {_ON}"
        rf"|^{_QUOTE}(?:{words}){_QUOTE}[.!]*$"
    )
    for complaint, words in MEANS.items()
}
_CODE = re.compile(
    r"\b(?:error|fault|trouble|failure)[ -]?codes?\b|\bcodes?\b(?= (?:i|that|which|on|\d|[a-z]{1,2}-?\d))"
    rf"|\b{_SHOWS}:? (?:a |an |the |some )?(?:strange |odd |unknown |error |fault )?code\b"
    rf"|\b{_SHOWS}:? (?:a |an |the )?{_QUOTE}(?:{_CODE_ALONE}){_QUOTE}(?=\s*(?:$|[.,;:!?]|(?:and|but|then|on the)\b))"
    rf"|\b(?:[a-z]{{1,2}}-?\d{{1,3}}) {_ON}"
    rf"|^{_QUOTE}[a-z]{{1,2}}-?\d{{1,3}}{_QUOTE}[.!]*$"
)
_NO_CODE = re.compile(r"\b(?:says?|said|reads?|claims?|shows?)(?: (?:a|an|the))? (?:i|a|so|no|it|up|me|us|he|we)\b")
ASK = (
    "A code of letters and numbers means something else on each machine. Look it up in the manual of this machine, or on the sheet "
    "inside its door or panel, and say here in its words what it means."
)


def shown(text: str) -> list[str]:
    """Return the complaints that plain words on a display name, in the order of `MEANS`.

    Examples
    --------
    >>> shown("stops in the middle and says 'unbalanced'"), shown("NO WATER"), shown("it is out of balance, I think")
    (['walks'], ['slow-fill'], [])
    """
    low = " ".join(text.lower().split())
    return [complaint for complaint, words in _FOUND.items() if words.search(low)]


def code(text: str) -> bool:
    """Return whether a code is told of, which only the machine's own manual explains.

    Examples
    --------
    >>> [code(t) for t in ("it shows E18", "there is an error code", "it says door", "my mother says I broke it")]
    [True, True, False, False]
    """
    low = " ".join(text.lower().split())
    found = _CODE.search(low)
    return bool(found) and not (_NO_CODE.match(found[0]) if found else False)
