"""What a phrase says beyond its complaint, and the looks that must bear it out: nobody says that a fuse blew where none did."""

import re
from typing import NamedTuple

from ..diagnosis.network import Network
from ..simulation.world import Installation


class Claim(NamedTuple):
    """Words of a complaint that say more than it does, and what is seen where that is so: a check and one of its answers, any of them."""

    complaint: str
    words: re.Pattern[str]
    seen: tuple[tuple[str, str], ...]


def _claim(complaint: str, words: str, *seen: str) -> Claim:
    looks = tuple((look.partition(":")[0], look.partition(":")[2]) for look in seen)
    return Claim(complaint, re.compile(rf"\b(?:{words})", re.IGNORECASE), looks)


# Written as people say it. What is a matter of taste (so loud that it wakes the baby) claims nothing.
CLAIMS: tuple[Claim, ...] = (
    _claim(
        "no-power", r"trip|breaker|fuse|gfci|rcd|ground fault|residual|reset|pops?\b|test button|short|safety switch|knocks out|blows?\b|blew|whole laundry",
        "device-tripped:button-out", "device-tripped:tripped",
    ),
    _claim("no-power", r"no power at the outlet|outlet (?:is|does)|electricity|current|voltage|kills the power", "outlet-gives-power:outlet-dead"),
    _claim(
        "no-power", r"middle|stopped|dies?\b|died|quit|cuts out|shuts|turned itself|turns off|goes off|went dark|switch\w* off|lights go out|gone dead",
        "device-tripped:button-out", "device-tripped:tripped", "trip-moment:speeding-up", "trip-moment:later", "odd-at-start:pauses",
    ),
    _claim("no-power", r"no lights?|dark|blank|black|no sign|no life|nothing lights|no display|no sound|peep", "washer-shows-life:no-life"),
    _claim("slow-fill", r"dirt\w*|mud|brown|sand|rust|sediment", "dirt-in-water:dirt"),
    _claim("slow-fill", r"no water|not get\w* water|gets no|does not (?:take|fill|reach|draw|come)|will not (?:fill|let)|stays dry|no flow|nothing", "fill-stream:none"),
    _claim("slow-fill", r"stops? and (?:goes|starts)|starts and stops|spurts|pauses", "fill-stream:bursts"),
    _claim("first-run", r"\w* ?(?:light|symbol|sign)s?\b|what does the", "demo-sign:demo", "delay-sign:counting", "cleaning-sign:asks-clean", "key-lock-sign:lit"),
    _claim("first-run", r"clock|time (?:on|left)|timer|minutes stay|countdown", "time-display:jumps"),
    _claim("first-run", r"buttons?|respond|beeps", "key-lock-sign:lit", "odd-at-start:keys-dead"),
    _claim(
        "first-run", r"will not (?:start|run)|does not (?:start|run|do|work)|not start|nothing works|plays a",
        "key-lock-sign:lit", "odd-at-start:keys-dead", "odd-at-start:counts-hours", "odd-at-start:plays-only", "odd-at-start:no-water", "delay-sign:counting", "demo-sign:demo",
    ),
    _claim("first-run", r"waits|stops|pauses|stands still", "odd-at-start:pauses", "odd-at-start:counts-hours"),
    _claim("water-hammer", r"whistl|scream|squeal|moan|groan|humm|chatter|machine gun|when it takes|rattl", "pipe-noise-when:in-flow"),
    _claim("water-hammer", r"tick", "pipe-noise-when:ticks"),
    _claim(
        "water-hammer", r"bang|knock|hammer|thump|clunk|slam|jump|boom|hits?\b|crack|shot|when (?:it|the water) stops|shudder|jerk|clank|shock",
        "pipe-noise-when:at-stop", "odd-at-start:bangs",
    ),
    _claim("walks", r"(?:whole |the )?(?:floor|house|apartment)|dishes", "room-shakes:shakes"),
    _claim(
        "walks", r"walk|creep|skat|hop|skip|mov|danc|wander|travel|march|slid|escap|drift|inches|kick|thrash|violen|crawl|scoot|jump|gallop|bucks?|stays? put|run away",
        "shudders-at-start-only:goes-on",
    ),
    _claim("noisy", r"whistl|squeal|squeak|screech|scream|whine|high pitched|chirp", "noise-kind:squeals"),
    _claim("noisy", r"clack|pop|bang|beat|knock|thump|clunk|hammer|clatter", "noise-kind:knocks"),
    _claim("noisy", r"gravel|rattl|buzz|marbles|bolts|jingl|stones", "noise-kind:rattles"),
    _claim("noisy", r"roar|truck|tractor|jet|airplane|train|growl|howl|rumbl|grind|mixer|rough", "noise-kind:grinds"),
    _claim("noisy", r"rub|scrap|tick|click|rasp|tapping|rhythmic", "noise-kind:ticks"),
    _claim("noisy", r"groan|moan|\w* ?hum|drone|whir|gurgl|hiss|sings", "noise-kind:hums"),
    _claim(
        "water-on-floor", r"drench|pool|flood|stream|lake|pond|swimming|everywhere|pees|pisses|under water|ankle|runs",
        "drip-rate:running", "when-water-shows:filling", "when-water-shows:draining",
    ),
    _claim(
        "standpipe-overflow", r"(?:back)?flow|\w*overflow|runs? over|spill|flood|fountain|gush|pour|splash|geyser|shoots?|everywhere|jumps?|wall|over the|fills?|basin|comes",
        "overflow-timing:at-once", "overflow-timing:after-a-while", "overflow-timing:with-others",
    ),
    _claim("spin-wet", r"drum is empty|no water", "drum-emptied:none"),
    _claim("lights-dim", r"flicker", "lights-do:flicker", "lights-do:blink"),
)  # fmt: skip


def borne_out(network: Network, site: Installation, complaint: str, phrase: str) -> bool:
    """Return whether all that a phrase says beyond its complaint is so at an installation.

    Parameters
    ----------
    network : Network
    site : DrillSite
        With its faults and circumstances.
    complaint : str
    phrase : str

    Examples
    --------
    >>> from dryfloor.engine.diagnosis.network import network_of
    >>> from dryfloor.engine.exercises.order import Order
    >>> from dryfloor.engine.exercises.site import exercise
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> network = network_of(load_kb())
    >>> asleep = exercise(network, Order(seed=1, fault="panel-gone-to-sleep", faults=0)).site
    >>> [borne_out(network, asleep, "no-power", t) for t in ("it will not turn on", "it blew a fuse")]
    [True, False]
    """
    checks = network.kb.checks
    for claim in CLAIMS:
        if claim.complaint == complaint and claim.words.search(phrase):
            looks = [(c, a) for c, a in claim.seen if c in checks and a in checks[c].answers]
            if looks and not any(site.answer(network, checks[c], "technician") == a for c, a in looks):
                return False
    return True
