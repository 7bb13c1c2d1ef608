"""A thousand installations, each looked at as a person would who has seen laundry rooms: nothing absurd, whatever the seed."""

import itertools

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.exercises.built import BANDS, fitted, unfit
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise
from dryfloor.engine.language.matching import hear
from dryfloor.engine.language.tokens import clauses, stem
from dryfloor.engine.measurement import quantity
from dryfloor.engine.measurement.readings import reading
from dryfloor.engine.model import holds
from dryfloor.engine.planning import roles

# What somebody would believe who reads it off in a real laundry room: written from what is sold and built, not from the code.
BELIEVED = {
    "cold-hose-gpm": "0.3 gpm to 9 gpm",
    "hot-hose-gpm": "0.3 gpm to 9 gpm",
    "cold-hose-probe": "38 F to 130 F",
    "hot-hose-probe": "45 F to 160 F",
    "hot-sink-temperature": "70 F to 160 F",
    "hot-tap-temperature": "70 F to 160 F",
    "hot-water-wait": "1 s to 5 min",
    "coupling-turns": "0 turn to 2 turns",
    "drain-slope": "1/32 in/ft to 1 in/ft",
    "fill-hose-years": "0 years to 25 years",
    "first-fill-watch": "30 s to 45 min",
    "flowing-pressure": "3 psi to 150 psi",
    "standing-pressure": "20 psi to 150 psi",
    "foot-gap": "0 mm to 8 mm",
    "gap-above-lid": "10 in to 80 in",
    "gap-behind": "0 in to 24 in",
    "gap-beside-washer": "0 in to 36 in",
    "hose-depth": "2 in to 30 in",
    "outlet-voltage": "95 V to 135 V",
    "hot-ground-voltage": "95 V to 135 V",
    "outlet-voltage-drop": "0 V to 15 V",
    "neutral-ground-voltage": "0 V to 30 V",
    "socket-voltage": "180 V to 265 V",
    "socket-voltage-drop": "0 V to 35 V",
    "hot-run-age": "0 months to 24 months",
    "level-side": "0 in/ft to 3/4 in/ft",
    "level-front": "0 in/ft to 3/4 in/ft",
    "lowest-outdoor-temperature": "-20 F to 75 F",
    "lowest-room-temperature": "0 F to 75 F",
    "moved-without-restraints": "0 ft to 60 ft",
    "outlet-distance": "0 ft to 15 ft",
    "run-to-panel": "5 ft to 200 ft",
    "standpipe-above-weir": "3 in to 98 in",
    "standpipe-bore": "1 1/8 in to 3 1/4 in",
    "standpipe-height": "20 in to 108 in",
    "towel-wrung": "0 cup to 2 cups",
    "trap-arm-length": "1 ft to 20 ft",
    "trap-seal-depth": "0 in to 8 in",
    "tub-rim-height": "24 in to 44 in",
    "tub-volume": "5 gal to 40 gal",
    "washer-leakage": "0 mA to 8 mA",
    "washer-leakage-230": "0 mA to 15 mA",
    "washing-left-lying": "0 h to 96 h",
}
# What nobody finds together.
TOGETHER = [
    ({"machine": "top-loader"}, {"dryer-beside": ["stacked-electric-dryer", "stacked-gas-dryer", "stacked-dryer"]}),
    ({"machine": "top-loader"}, {"raised": ["pedestal"]}),
    ({"dryer-beside": "stacked-electric-dryer"}, {"raised": ["pedestal", "platform"]}),
    ({"dryer-beside": "stacked-gas-dryer"}, {"raised": ["pedestal", "platform"]}),
    ({"supply-system": "us-120"}, {"code-edition": ["iec-60364"]}),
    ({"supply-system": "eu-230"}, {"plumbing-code": ["upc", "ipc", "irc", "ontario", "baltimore"]}),
    ({"supply-system": "eu-230"}, {"building-code": ["irc-house", "ibc-imc"]}),
    ({"onset": "new"}, {"tried-levelling": ["tried"], "tried-tightening": ["tried"], "tried-clearing": ["tried"]}),
]
# Words that anybody has for a washer and what it does; a title may share these with a complaint.
PLAIN_WORDS = """
water hot cold warm drain drains fill fills pump washer machine new smell smells drum in out down up too while keeps clothes washing wash spin spins
noise noisy floor wet foam lights power door lid load laundry loads dry not full program light run running leak leaks leaky hose pipe pipes dead froze
freeze tap faucet valve breaker when one from first set something button overflow overflows on locked time
"""
PLAIN = {stem(w) for w in PLAIN_WORDS.split()}


def stems(text):
    return {t.stem for c in clauses(text) for t in c.tokens}


def value(kb, check, said):
    return quantity.parse(said, kb.rules[kb.checks[check].rule].measures)


def absurd(kb, network, made):
    """Return what is wrong with an installation, in words."""
    site, facts, out = made.site, made.site.facts, []
    for cause in site.causes:
        if not holds(kb.causes[cause].when, facts):
            out.append(f"{cause} can't be at {facts}")
    for one, other in TOGETHER:
        asked = {f for c in site.causes for f in kb.causes[c].when}
        for fact, options in other.items():
            if all(facts[k] == v for k, v in one.items()) and facts[fact] in options and fact not in asked:
                out.append(f"{one} with {fact} {facts[fact]}")
    read = {}
    for check in kb.checks.values():
        if check.kind == "measure" and not check.only_proof and holds(check.when, facts):
            said = site.answer(network, check, "technician")
            read[check.id] = value(kb, check.id, said)
            low, high = quantity.plausible(BELIEVED[check.id], kb.rules[check.rule].measures)
            if not low <= read[check.id] <= high:
                out.append(f"{check.id} reads {said}")
            if reading(kb, check.id, said, "technician").verdict.state == "too-close":
                out.append(f"{check.id} reads {said}, too close to call")
    out += [text for text, wrong in relations(read, facts).items() if wrong]
    for cause in site.causes:
        out += [f"{cause}: {text}" for text in undefined(kb, network, site, cause)]
    out += history(kb, network, site)
    for told in made.told:
        if told.complaint == "wrong-temperature" and {"cold", "hot", "warm"} & set(told.words.split()):
            out.append(f"'{told.words}' says which way it is wrong, for {site.causes}")
        if (
            told.complaint == "suds-or-smell"
            and "foam" in told.words
            and not any(w in kb.causes[c].says.lower() for c in site.causes for w in ("foam", "suds", "dose"))
        ):
            out.append(f"'{told.words}' for {site.causes}")
        heard = hear(told.words, kb)
        if any(facts[f.fact] != f.option for f in heard.facts):
            out.append(f"'{told.words}' does not fit {facts}")
        for cause in site.causes:
            # What the complaint is called by gives no fault away: lights that dim may be a dimmer's, or anything else's.
            called = stems(kb.complaints[told.complaint].title)
            shared = (stems(told.words) & stems(kb.causes[cause].title)) - PLAIN - called
            if shared and told.words != kb.complaints[told.complaint].says:
                out.append(f"'{told.words}' gives {cause} away: {shared}")
    return out


def relations(read, facts):
    """Return what readings must agree on, each with whether they don't."""

    def over(a, b, by=0.0):
        return a in read and b in read and read[a] > read[b] + by

    return {
        "more pressure running than standing": over("flowing-pressure", "standing-pressure") and read["flowing-pressure"] < 800_000,
        "the hose is longer in the pipe than the pipe is high": over("hose-depth", "standpipe-height"),
        "the pipe is higher over its weir than over the floor": over("standpipe-above-weir", "standpipe-height"),
        "one tap, two temperatures": over("hot-sink-temperature", "hot-tap-temperature", 1.5) or over("hot-tap-temperature", "hot-sink-temperature", 1.5),
        "the hose is hotter than the tap": over("hot-hose-probe", "hot-tap-temperature", 1.5),
        "two voltages at one outlet": over("outlet-voltage", "hot-ground-voltage", 1) or over("hot-ground-voltage", "outlet-voltage", 1),
        "frost in a room that is heated": facts["place"] == "heated" and facts["recent-frost"] == "no-frost" and read["lowest-room-temperature"] < 0,
        "old hoses at a new machine": facts["onset"] == "new" and 60 * 86400 < read["fill-hose-years"] < 5 * 365 * 86400,
    }  # fmt: skip


def history(kb, network, site):
    """Return what is said of the past and can't be so."""

    def said(check):
        return site.answer(network, kb.checks[check], "technician")

    out = []
    if any("froz" in c or "frost" in c or "iced" in c for c in site.causes) and site.facts["recent-frost"] != "frost":
        out.append("ice without frost")
    if said("drain-slowed-how") == "slower" and site.facts["onset"] in ("new", "suddenly", "always"):
        out.append(f"slower over weeks, and it began {site.facts['onset']}")
    if said("bang-history") == "crept" and site.facts["onset"] != "slowly":
        out.append("it crept in over years, and not slowly")
    return out


def undefined(kb, network, site, cause):
    """Return what defines a cause and is not seen, though it is at work."""
    look = kb.causes[cause].defines
    out = []
    if look and look.check and look.answer and roles.permitted(kb, kb.checks[look.check], "technician"):
        check = kb.checks[look.check]
        if holds(check.when, site.facts):
            said = site.answer(network, check, "technician")
            if said != look.answer:
                out.append(f"{look.check} is {said}, not {look.answer}")
    if look and look.rule and look.side:
        for check in kb.checks.values():
            if (
                check.rule == look.rule
                and check.kind == "measure"
                and not check.only_proof
                and holds(check.when, site.facts)
            ):
                said = site.answer(network, check, "technician")
                if reading(kb, check.id, said, "technician").verdict.side != look.side:
                    out.append(f"{check.id} reads {said}")
    return out


def looked_at(kb, seeds):
    network = network_of(kb)
    return {s: wrong for s in seeds if (wrong := absurd(kb, network, exercise(network, Order(seed=s))))}


def test_forty_installations_without_an_absurd_one(kb):
    assert looked_at(kb, range(40)) == {}


@pytest.mark.slow
def test_a_thousand_installations_without_an_absurd_one(kb):
    assert looked_at(kb, range(1000)) == {}


@pytest.mark.slow
def test_every_cause_has_an_installation_that_is_not_absurd(kb):
    network = network_of(kb)
    wrong = {c: absurd(kb, network, exercise(network, Order(seed=1, fault=c))) for c in kb.causes}
    assert {c: w for c, w in wrong.items() if w} == {}


def test_the_looker_sees_what_is_absurd(kb):
    """The guard itself: a pipe of the kb's plausible range that nobody builds, and a pedestal under a top loader."""
    network = network_of(kb)
    made = exercise(network, Order(seed=1, fault="standpipe-too-low"))
    object.__setattr__(
        made,
        "site",
        type(made.site)(
            made.site.seed,
            {**made.site.facts, "machine": "top-loader", "raised": "pedestal"},
            made.site.causes,
            made.site.origins,
        ),
    )
    try:
        assert any("pedestal" in text for text in absurd(kb, network, made))
    finally:
        exercise.cache_clear()
    low, high = quantity.plausible(BELIEVED["standpipe-height"], "length")
    first, last = quantity.plausible(kb.rules["standpipe-height"].plausible, "length")
    assert first < low
    assert high < last


def test_every_band_is_on_its_side_of_the_limits(kb):
    for check in kb.checks.values():
        band = BANDS.get(check.rule or "")
        if check.kind != "measure" or band is None:
            continue
        rule = kb.rules[check.rule]
        for part in ("below", "within", "above"):
            for text in filter(None, getattr(band, part).split("|")):
                for end in (
                    quantity.plausible(text, rule.measures)
                    if " to " in text
                    else [quantity.parse(text.strip(), rule.measures)]
                ):
                    low = quantity.parse(rule.min, rule.measures) if rule.min else end
                    high = quantity.parse(rule.max, rule.measures) if rule.max else end
                    side = "below" if end < low else "above" if end > high else "within"
                    assert side == part, (check.id, part, text)


def test_every_band_is_believed(kb):
    for name, believed in BELIEVED.items():
        rule = kb.rules[kb.checks[name].rule]
        low, high = quantity.plausible(believed, rule.measures)
        band = BANDS.get(rule.id)
        for text in filter(
            None, (t for part in ("below", "within", "above") for t in (getattr(band, part, "") or "").split("|"))
        ):
            ends = (
                quantity.plausible(text, rule.measures)
                if " to " in text
                else [quantity.parse(text.strip(), rule.measures)] * 2
            )
            assert low <= ends[0] <= ends[1] <= high, (name, text)


def test_every_measuring_check_has_a_band_for_each_side(kb):
    for check in kb.checks.values():
        if check.kind == "measure" and check.rule != "standpipe-height-ipc":
            band, rule = BANDS[check.rule], kb.rules[check.rule]
            assert band.within, check.id
            assert bool(band.below) >= bool(rule.min), check.id
            assert bool(band.above) >= bool(rule.max), check.id


def test_what_does_not_go_together_is_put_right_but_for_what_a_fault_asks():
    for machine, raised in itertools.product(("top-loader", "front-loader"), ("no-base", "pedestal", "platform")):
        facts = {"machine": machine, "raised": raised}
        assert unfit(fitted(facts, set())) == []
        assert fitted(facts, {"raised"})["raised"] == raised
