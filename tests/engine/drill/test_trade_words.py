"""Trade words as technicians type them on a job: written down before the matching was mended, the second table read once after it."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill import naming
from dryfloor.engine.drill.trade_words import read_as_one

# What was typed, and the looks that it may mean.
TYPED = {
    "P-trap": "trap-vent-seen bend-under-pipe trap-seal-depth",
    "p trap seal": "trap-seal-depth",
    "standpipe height": "standpipe-height",
    "air gap": "hose-sealed hose-depth",
    "air gap at the standpipe": "hose-sealed",
    "GFCI": "ground-fault-device device-tripped",
    "is the GFCI tripped": "device-tripped",
    "gfi reset": "device-tripped trips-after-reset",
    "transit bolts": "restraints-left restraints-counted",
    "shipping bolts out?": "restraints-left restraints-counted",
    "static pressure": "standing-pressure",
    "static psi": "standing-pressure",
    "flowing psi": "flowing-pressure",
    "dynamic pressure": "flowing-pressure",
    "bucket test gpm": "cold-hose-gpm hot-hose-gpm bucket-flow",
    "flow rate cold": "cold-hose-gpm",
    "inlet strainers": "screens-seen",
    "filter screens on the fill valve": "screens-seen",
    "angle stops open": "washer-taps-turned",
    "shutoff valves open": "washer-taps-turned",
    "hose bibs open all the way": "washer-taps-turned",
    "hammer arrestors": "arrester-seen arrester-by-hand",
    "water hammer arrester fitted": "arrester-seen arrester-by-hand",
    "PRV": "pressure-signs standing-pressure",
    "coin trap": "pump-filter-content",
    "drain pump filter": "pump-filter-content",
    "impeller": "pump-wheel",
    "ohm the drain pump": "pump-tested",
    "pump amps / winding resistance": "pump-tested",
    "high loop": "drain-hose-lie drain-hose-in-hook stops-when-hose-raised siphon-break-fitted",
    "u-bend hose guide": "drain-hose-in-hook",
    "zip tie on the drain hose": "drain-hose-in-hook",
    "drain hose kinked": "drain-hose-lie",
    "insertion depth": "hose-depth",
    "how far is the hose down the pipe": "hose-depth",
    "pipe ID": "standpipe-bore",
    "inside diameter of the standpipe": "standpipe-bore",
    "2 inch standpipe?": "standpipe-bore",
    "vent on the trap arm": "trap-vent-seen",
    "AAV": "trap-vent-seen",
    "snake the line": "rod-stops",
    "cable the drain": "rod-stops",
    "pour test in the standpipe": "buckets-down-the-pipe",
    "dump a 5 gallon bucket down the drain": "buckets-down-the-pipe bucket-then-smell",
    "line voltage": "outlet-voltage hot-ground-voltage socket-voltage",
    "voltage at the receptacle": "outlet-voltage",
    "hot to neutral": "outlet-voltage outlet-readings",
    "neutral to ground voltage": "neutral-ground-voltage",
    "voltage drop under load": "outlet-voltage-drop",
    "receptacle tester": "outlet-readings outlet-holes",
    "plug-in tester three lights": "outlet-readings",
    "open ground": "outlet-readings outlet-holes",
    "polarity": "outlet-readings",
    "dedicated circuit": "circuit-shared",
    "breaker size": "breaker-number",
    "amp rating of the breaker": "breaker-number",
    "AFCI": "test-button-words device-tripped",
    "extension cord": "extension-cord-used",
    "leakage current": "washer-leakage washer-leakage-230",
    "megger the motor": "washer-leakage control-supply",
    "error code": "lid-latched cycle-state odd-at-end odd-at-start washer-shows-life",
    "level with a spirit level": "level-side level-front",
    "bubble level left to right": "level-side",
    "leveling legs": "foot-gap rocks-by-hand lock-nut-turns paper-under-foot",
    "jam nuts tight": "lock-nut-turns",
    "rock it corner to corner": "rocks-by-hand",
    "tub springs": "tub-swing",
    "dampers / shocks": "tub-swing",
    "suspension rods": "tub-swing",
    "spin it empty": "walks-empty noisy-when-empty",
    "drum bearing": "bearing-opened noise-kind tub-knocks",
    "drive belt": "belt-and-clutch",
    "subfloor": "floor-soft floor-bounce",
    "bounce test floor": "floor-bounce",
    "joists": "floor",
    "inlet water temp": "hot-hose-probe cold-hose-probe",
    "water heater setpoint": "hot-sink-temperature hot-tap-temperature",
    "crossed hot and cold": "hoses-crossed inlet-hose-warms temperature-wrong-how",
    "are the supply lines reversed": "hoses-crossed",
    "hose gaskets": "hose-washer",
    "rubber washer in the coupling": "hose-washer",
    "cross threaded": "coupling-askew",
    "couplings hand tight": "coupling-turns coupling-finger-loose",
    "check couplings for drips with tissue": "coupling-wet",
    "packing nut": "tap-stem-wet",
    "age of the supply hoses": "fill-hose-years",
    "braided hoses bulging": "fill-hose-bulge",
    "lid switch": "lid-latched lock-tested lock-striker",
    "door lock assembly": "lid-latched lock-tested lock-striker",
    "door boot": "door-seal",
    "bellows": "door-seal",
    "he detergent": "detergent-kind",
    "oversudsing": "suds-in-drum foam-seen dose-measured",
    "pressure switch hose": "level-sensor-tested",
    "water level sensor": "level-sensor-tested",
    "ejector pump": "lift-pump-seen",
    "septic": "septic-tank-signs",
    "laundry sink strainer": "tub-outlet",
    "floor drain siphon break": "siphon-break-fitted",
    "dryer above it": "dryer-beside",
    "pedestal": "raised base-loose",
}

READ_ONCE = {
    "trap seal depth": "trap-seal-depth",
    "is there a trap on it": "bend-under-pipe trap-vent-seen",
    "how tall is the standpipe off the floor": "standpipe-height",
    "standpipe diameter": "standpipe-bore",
    "is the drain hose taped into the pipe": "hose-sealed",
    "backflow gap round hose": "hose-sealed hose-end-at-sink",
    "trip reset RCD": "device-tripped trips-after-reset",
    "check the rcd": "device-tripped residual-current-number ground-fault-device",
    "transport bolts": "restraints-left restraints-counted",
    "packing rods at the back": "restraints-left restraints-counted",
    "working pressure": "flowing-pressure",
    "house pressure gauge": "standing-pressure",
    "gallons per minute hot side": "hot-hose-gpm",
    "clogged inlet filter mesh": "screens-seen",
    "stop valves fully open": "washer-taps-turned",
    "supply valves on": "washer-taps-turned",
    "water hammer arrestor": "arrester-seen arrester-by-hand",
    "pressure regulator": "pressure-signs",
    "lint trap": "pump-filter-content filter-last-cleaned",
    "pump vanes": "pump-wheel pump-tested",
    "pump winding ohms": "pump-tested",
    "hose clip / gooseneck": "drain-hose-in-hook",
    "crushed drain line behind machine": "drain-hose-lie",
    "hose too far in": "hose-depth",
    "air admittance valve": "trap-vent-seen",
    "auger the standpipe": "rod-stops",
    "flood test standpipe with buckets": "buckets-down-the-pipe",
    "multimeter across hot and neutral": "outlet-voltage outlet-readings",
    "volts at the plug": "outlet-voltage hot-ground-voltage socket-voltage",
    "outlet tester": "outlet-readings outlet-gives-power",
    "reverse polarity": "outlet-readings",
    "shared circuit": "circuit-shared",
    "15 or 20 amp breaker": "breaker-number",
    "power strip": "extension-cord-used",
    "insulation resistance": "washer-leakage washer-leakage-230 control-supply washer-heater-tested",
    "fault codes": "lid-latched cycle-state odd-at-end odd-at-start",
    "torpedo level on top": "level-side level-front",
    "adjustable feet": "foot-gap rocks-by-hand lock-nut-turns paper-under-foot",
    "shock absorbers": "tub-swing",
    "worn struts": "tub-swing",
    "wobble test": "rocks-by-hand",
    "belt slipping": "belt-and-clutch drive-sound",
    "floor flex": "floor-bounce floor-soft",
    "thermostat on the water heater": "hot-sink-temperature hot-tap-temperature",
    "hoses swapped": "hoses-crossed",
    "missing rubber washer": "hose-washer",
    "stripped threads on the coupling": "coupling-askew inlet-crack",
    "supply hoses date code": "fill-hose-years",
    "blister on the hose": "fill-hose-bulge",
    "lid lock": "lid-latched lock-tested lock-striker",
    "door gasket": "door-seal",
    "too much soap": "dose-measured suds-in-drum",
    "pressure sensor tube": "level-sensor-tested",
    "sewage pump basin": "lift-pump-seen",
}

# What is said to be safe, as it is said on a job, and the hazards that it may mean.
SAFE = {
    "water off": "water-running",
    "water is shut off": "water-running",
    "shut off the water": "water-running",
    "taps closed": "water-running stored-pressure",
    "supply valves closed": "water-running stored-pressure",
    "main shut": "water-running",
    "nothing running": "water-running",
    "water stopped": "water-running",
    "floor dry": "water-near-electricity wet-floor",
    "no water near the plug": "water-near-electricity",
    "outlet dry": "water-near-electricity",
    "no water near the outlet": "water-near-electricity",
    "no water at the cord": "water-near-electricity",
    "plug is dry": "water-near-electricity",
    "no standing water near electrics": "water-near-electricity",
    "unplugged": "unplug-first",
    "pulled the plug": "unplug-first",
    "power off": "unplug-first live-voltage",
    "breaker off": "unplug-first live-voltage",
    "disconnected from power": "unplug-first live-voltage",
    "machine stopped": "walking-machine",
    "washer is off and not moving": "walking-machine",
    "it stands still": "walking-machine",
    "drum not turning": "coasting-drum walking-machine",
    "drum stopped": "coasting-drum walking-machine",
    "no gas smell": "gas-smell",
    "do you smell gas": "gas-smell",
    "no smell of gas": "gas-smell",
    "gas line ok": "gas-smell gas-connector",
    "no burning smell": "burning-smell",
    "no smoke": "burning-smell",
    "nothing burnt": "burning-smell",
    "no scorching": "burning-smell",
    "nobody got shocked": "shock-tingle",
    "no tingle": "shock-tingle",
    "did anyone get a shock": "shock-tingle",
    "cabinet not live": "shock-tingle live-voltage",
    "no sewage": "sewage",
    "is it sewage": "sewage",
    "no sewer backup": "sewage",
    "no drain cleaner": "drain-cleaner",
    "no chemicals in the drain": "drain-cleaner",
    "hose pressure relieved": "stored-pressure",
    "depressurized": "stored-pressure",
    "pressure off the hose": "stored-pressure",
    "two people to lift": "machine-lifting",
    "hand truck and helper": "machine-lifting",
    "helper here": "machine-lifting",
    "water cooled": "hot-water scalding-supply",
    "water not hot": "hot-water scalding-supply",
    "let it cool": "hot-water",
    "lights do not get brighter": "lost-neutral",
    "neutral ok": "lost-neutral",
    "no lights flaring": "lost-neutral",
    "gas shut off": "gas-connector gas-smell",
    "door not full of water": "full-front-loader",
    "no child in the drum": "child-in-drum",
    "nobody thawed with a torch": "flame-thawing",
    "mop the floor": "wet-floor",
    "wear gloves": "sharp-edges",
}


def heard(kb, table):
    """Return what was done at once, what was offered among the first, what was not heard, and what was taken for something else."""
    at_once, offered, unheard, mistaken = [], [], [], []
    for words, meant in table.items():
        wanted, found = {*meant.split()}, naming.looks(kb, words)
        assert wanted <= {*kb.checks, *kb.facts}
        sure = naming.sure(found)
        if sure:
            (at_once if sure.id in wanted else mistaken).append(words)
        else:
            (offered if wanted & {f.id for f in found[: naming.MOST]} else unheard).append(words)
    return at_once, offered, unheard, mistaken


@pytest.mark.parametrize(("table", "at_once", "deaf"), [(TYPED, 80, 1), (READ_ONCE, 43, 1)])
def test_trade_words_are_heard(kb, table, at_once, deaf):
    found = heard(kb, table)
    assert len(found[0]) >= at_once
    assert len(found[2]) + len(found[3]) <= deaf, found[2:]
    # What is taken for something else is paid for in minutes; where there is doubt, it must be offered instead.
    assert len(found[3]) <= 1, found[3]


def test_what_is_said_to_be_safe_is_heard(kb):
    at_once, offered = 0, 0
    for words, meant in SAFE.items():
        wanted, found = {*meant.split()}, naming.gates(kb, words)
        sure = naming.sure(found)
        assert sure is None or sure.id in wanted, words
        assert wanted & {f.id for f in found[: naming.MOST]}, words
        at_once += sure is not None
        offered += sure is None
    assert at_once >= 50
    assert at_once + offered == len(SAFE)


def test_of_two_that_are_named_as_well_what_tells_of_the_complaint_comes_first(kb):
    anywhere = [f.id for f in naming.looks(kb, "where does it start")]
    puddle = [f.id for f in naming.looks(kb, "where does it start", near={"puddle-place"})]
    assert puddle.index("puddle-place") < anywhere.index("puddle-place")
    assert naming.looks(kb, "standpipe height", near={"standpipe-bore"})[0].id == "standpipe-height"


def test_what_makes_no_sense_comes_after_what_is_named_as_well(kb):
    asked = "where is it coming from"
    plain = [f.id for f in naming.looks(kb, asked)]
    first = plain[:2]
    after = [f.id for f in naming.looks(kb, asked, senseless=first)]
    assert after[:2] != first
    assert {*after} == {*plain}
    # Its own name is its own name: then it is said that it makes no sense.
    assert naming.looks(kb, "where the bang comes from", senseless={"bang-spot"})[0].id == "bang-spot"


def test_words_for_one_thing_are_read_as_one():
    for one, *others in (
        ("GFCI", "gfi", "RCD", "residual-current device", "ground-fault outlet"),
        ("transit bolts", "shipping rods", "Transport screws", "packing bolts"),
        ("P-trap", "s trap", "ptrap"),
        ("hose bib", "hose bibbs", "angle stop", "supply valve", "shut-off valves"),
        ("static pressure", "static psi", "house pressure"),
        ("jam nut", "lock nut", "check nuts"),
    ):
        assert {read_as_one(o) for o in others} == {read_as_one(one)}


def test_what_is_no_trade_word_is_left_as_it_is():
    assert read_as_one("how high is the standpipe?") == "how high is the standpipe?"
    assert read_as_one("does it stop when it spins") == "does it stop when it spins"
    assert read_as_one("") == ""


def test_what_can_not_be_at_a_place_is_not_offered_there(kb):
    anywhere = [f.id for f in naming.looks(kb, "voltage at the receptacle")]
    here = [f.id for f in naming.looks(kb, "voltage at the receptacle", {"supply-system": "us-120"})]
    assert "socket-voltage" in anywhere
    assert "outlet-voltage" in here
    assert "socket-voltage" not in here
    # Where nothing else is meant, it is named all the same, and the round says why it is not done there.
    assert naming.looks(kb, "rim of the laundry tub", {"drain": "standpipe"})


# Verdicts as an apprentice types them, the causes that may be meant, and what is complained of.
VERDICTS = [
    ("hose hangs in the water", "tub-rim-too-low hose-pushed-too-deep drain-hose-without-hook", "siphons"),
    ("transport bolts still in", "restraints-left-in", "walks"),
    ("one foot is in the air", "foot-unloaded", "walks"),
    ("a foot does not touch the floor", "foot-unloaded", "walks"),
    ("washing machine is not level", "out-of-level", "walks"),
    ("lock nut loose", "lock-nut-loose", "walks"),
    ("floor too bouncy", "floor-springy", "walks"),
    ("shocks are shot", "suspension-worn", "walks"),
    ("towels all on one side", "load-bunched-up", "walks"),
    ("standpipe too short", "standpipe-too-low", "siphons"),
    ("hose taped into the pipe", "hose-sealed-in-pipe", "siphons"),
    ("hose shoved too far down", "hose-pushed-too-deep", "siphons"),
    ("hose not tied down", "drain-hose-not-tied", "standpipe-overflow"),
    ("drain clogged", "drain-line-part-blocked", "standpipe-overflow"),
    ("pipe too small", "standpipe-bore-too-small", "standpipe-overflow"),
    ("too much soap", "too-much-detergent", "suds-or-smell"),
    ("kinked drain hose", "drain-hose-kinked", "no-drain"),
    ("lint in the pump filter", "pump-filter-clogged", "no-drain"),
    ("coin stuck in the pump", "object-in-pump", "no-drain"),
    ("pump is dead", "pump-worn", "no-drain"),
    ("hose washer missing", "hose-washer-missing", "leaking-coupling"),
    ("hose nut not tight", "coupling-not-tight", "leaking-coupling"),
    ("cross threaded", "coupling-cross-threaded", "leaking-coupling"),
    ("tap shut", "taps-not-opened one-tap-closed tap-half-closed", "slow-fill"),
    ("screen full of sand", "inlet-screen-clogged", "slow-fill"),
    ("low house pressure", "house-pressure-low", "slow-fill"),
    ("gfci tripped", "ground-fault-device-tripped-by-wet breaker-tripped-once", "no-power"),
    ("plug not in all the way", "plug-not-fully-in", "no-power"),
    ("child lock on", "child-lock-on", "no-power"),
    ("door gasket torn", "door-seal-torn", "water-on-floor"),
    ("filter cap not screwed in", "filter-cap-leaks", "water-on-floor"),
    ("no hammer arrestor", "arrester-missing", "water-hammer"),
    ("pipe not strapped", "pipe-loose-in-wall", "water-hammer"),
    ("bearing gone", "bearing-worn", "noisy"),
    ("washer touches the wall", "cabinet-touches-wall", "noisy"),
    ("drum seal smells moldy", "door-kept-shut door-seal-fouled", "suds-or-smell"),
    ("p-trap dried up", "trap-dried-out", "suds-or-smell"),
    ("pump froze and cracked", "pump-split-by-frost", "freeze-damage"),
    ("hose frozen", "drain-hose-iced-up", "freeze-damage"),
]


def test_verdicts_are_heard_among_what_explains_the_complaint(kb):
    network = network_of(kb)
    at_once, offered, mistaken = [], [], []
    for words, meant, complaint in VERDICTS:
        wanted = {*meant.split()} & {*kb.causes}
        assert wanted, meant
        found = naming.causes(kb, words, near=frozenset(network.shown[f"complaint:{complaint}"]))
        sure = naming.sure(found)
        if sure:
            (at_once if sure.id in wanted else mistaken).append(words)
        elif wanted & {f.id for f in found[: naming.MOST]}:
            offered.append(words)
    # A verdict that was not meant costs the round.
    assert mistaken == []
    assert len(at_once) >= 24
    assert len(at_once) + len(offered) >= len(VERDICTS) - 1
