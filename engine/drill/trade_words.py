"""Words of the trade that name one thing: read as one, whether a pupil types them or the kb writes them.

Vocabulary alone: nothing here knows a check, a cause or a rule. Each group is written as it is said on a job, in North America
and elsewhere; what it is read as are words that the kb itself has.
"""

import re

# A group's words, as a pattern between word ends, and what they are read as.
GROUPS: tuple[tuple[str, str], ...] = (
    # said in one breath, before its words are read one by one
    (
        r"(?:(?:supply|angle|shut ?off|stop|isolation|service|washer|laundry) )*(?:stops|valves?|taps?|hose bibb?s?|spigots?)"
        r" (?:are |is )?(?:fully |all the way )?(?:open|on)(?: fully| all the way)?", "washer's two taps",
    ),
    (r"(?:inlet|filter|valve) screens?(?: (?:in|on|at) (?:the )?(?:fill|inlet|water) (?:valve|hose|inlet)s?)?|inlet filters?(?: mesh(?:es)?)?", "screens at the inlets"),
    (r"(?:laundry )?(?:sink|tub) (?:strainer|drain)s?", "tub outlet"),
    (r"clean ?out (?:trap|filter|cap)s?", "pump filter"),
    (r"packing nuts?|stem packing", "tap wet at its stem"),
    (r"(drain|discharge) (?:hose|line)s? (?:is |are )?(?:kinked|crushed|squashed|flattened|pinched)", "drain hose behind the washer"),
    (r"(?:plug in|receptacle|outlet|socket|plug|three light|circuit) testers?(?: (?:in|into|at) the (?:receptacle|outlet|socket))?", "three readings outlet"),
    (r"(?:reversed?|wrong) polarity|polarity|(?:open|missing) ground", "three readings outlet"),
    (r"(?:volts?|vac|voltage) (?:\w+ ){0,4}(?:running|under load)", "voltage drop under load"),
    (r"(?:multimeter |meter )?(?:across )?hot (?:to|and) neutral|line voltage|(?:volts?|vac|voltage) (?:at|in) the (?:plug|outlet|receptacle|socket)", "voltage without load outlet"),
    (r"(?:water )?heater (?:temps?|temperature|set ?points?|settings?|thermostat)|thermostat (?:on|of) the (?:water )?heater", "hot water nearest the heater"),
    (r"(?:too|how) much (?:soap|detergent|powder)", "dose measured"),
    (r"how much (?:laundry|washing|clothes)|load size|overload(?:ed|ing)?", "how full drum packed"),
    (r"(?:weigh(?:s|ing|ed)?|how (?:heavy|big|full)(?: is| was)?) (?:(?:it|the|a|this|that|was|is) )*(?:load|laundry|washing|wash)(?:ed)?", "how full drum packed"),
    (r"(?:jump|stamp|stomp|hop|step|bounce)(?:s|ing)? (?:up and down )?(?:next to|beside|near|by|in front of) (?:it|the (?:washer|machine))", "floor gives step bounce"),
    (r"(?:jump|stamp|stomp|bounce)(?:s|ing)? on the floor", "floor gives step bounce"),
    (r"(?:stand ?pipe|receptor|drain pipe) (?:(?:is|it) )?(?:back(?:s|ed|ing)?(?: up)?|overflow(?:s|ed|ing)?|run(?:s|ning)? over)", "two buckets down the drain backs up"),
    (r"(?:what|which) (?:size|diameter) (?:is |of )?(?:the )?(?:drain |stand )?pipe|(?:size|diameter) of the (?:drain |stand )?pipe|how (?:wide|big) is the (?:drain |stand )?pipe", "standpipe bore"),
    (r"(?:white|green|chalky|lime) (?:crust|scale|stain|deposit|powder)s?", "wet spot coupling"),
    (r"(?:how close|how near|(?:any |how much )?(?:room|space|gap|clearance)) (?:\w+ ){0,3}(?:between|beside|next to|to|from) (?:\w+ ){0,3}(?:dryer|cabinet|cupboard)s?", "gap at the sides"),
    (r"(?:floor (?:slope|slant|level)|slope of the floor|floor (?:is )?(?:sloping|slanted|out of level)|slop(?:es|ing) floor)", "level side front floor"),
    (r"(?:what|which|kind of) (?:soap|detergent|powder)|(?:soap|detergent) (?:he|for he)|he (?:soap|detergent)", "kind of detergent"),
    (r"(?:had|have|was there|been) (?:a )?(?:freeze|hard freeze|cold snap|frost)", "recent frost"),
    (r"(?:what|which|any|read the) (?:error |fault )?code", "washer says it is doing"),
    (r"(?:how many )?(?:caps?|capfuls?|cups?|scoops?|pods?|spoons?|spoonfuls?) of (?:soap|detergent|powder)|how many (?:caps|capfuls|cups|scoops|pods)", "dose measured"),
    (r"below (?:zero|freezing|32)|sub ?zero", "coldest frost"),
    (r"where (?:exactly )?(?:is|does|did) it (?:get )?(?:wet|damp)(?: first)?", "where the puddle starts"),
    (r"(?:sink|tub) (?:next to it |beside it )?(?:fills?|filling|comes?|coming) up", "other drains back up"),
    (r"(?:shakes?|walks?|moves?|jumps?|hops?|spins?|runs?) (?:it )?(?:when |while |even |also )?(?:it'?s |it is )?empty(?: too)?", "empty spin"),
    (r"(?:spin|run)(?:s|ning)? (?:it )?with nothing in(?: it| the drum)?", "empty spin"),
    (r"(?:all|both) (?:the |of the |its )?(?:four )?(?:feet|legs)(?: \w+){0,3} (?:on|touch\w*|bear\w*|down|firm\w*)", "foot that lifts rocks pressed"),
    (r"(?:feet|legs) (?:all|both) (?:on|touch\w*|bear\w*|firm\w*)", "foot that lifts rocks pressed"),
    (r"where (?:exactly )?(?:does|do|is|are) (?:it|that|this) (?:come|coming)(?: out)? from", "where it comes from starts"),
    (r"drain hose (?:connections?|fittings?)", "drain hose joint"),
    (r"(?<!gas )(?:hose |supply |water |tap )?(?:connections?|fittings?)", "coupling"),
    (r"(?:when|where) (?:do|does|can) (?:you|they|one|he|she) hear (?:it|that|the noise)", "when the noise comes"),
    (r"did (?:it|this|that) (?:start|begin)", "when it began"),
    (r"with nothing in(?: it| the drum)?", "empty drum"),
    (r"(?:foot|leg) (?:(?:does|is) )?(?:not|n't|doesn't|isn't) (?:touch\w*|on|down|bear\w*)|(?:foot|leg) (?:is |hangs )?(?:in|off) the (?:air|floor|ground)", "foot that lifts carries no load"),
    (r"shocks (?=are|is|worn|bad|shot|gone)", "dampers "),
    (r"not strapped|unstrapped|no straps", "loose"),
    (r"(?:frozen|froze|iced) (?:drain )?hose|(?:drain )?hose (?:is )?(?:frozen|froze|iced)", "drain hose iced up"),
    (r"how (?:far|deep) (?:(?:is|does|did|down|in|the|it) )*hose|hose (?:\w+ ){0,3}too (?:far|deep)(?: in| down)?", "hose depth"),
    (r"(?:from|off|above) the (?:floor|ground)", "height"),
    (r"\d(?: ?1/2)? ?(?:inch|in) (?=standpipe|pipe)", "bore "),
    (r"how close|how much (?:room|space)|clearances?", "gap"),
    (r"where (?:exactly )?(?:does|do|is|are) (?:the )?(?:water|leak|puddle) (?:come|coming|from|leaking|start)(?: out| from)?", "where the puddle starts"),
    (r"(?:tub|drum|basket)[, ]+(?:is )?(?:it )?loose", "how the tub swings"),
    (r"(?:get )?below freezing", "coldest heated unheated place"),
    (r"hook(?:ed|s)? (?:it |them )?up|hook ?ups?", "installed"),
    (r"how tight|crank(?:ed|s)?", "turn past hand tight"),
    (r"(?:drip|drain|overflow) pans?|pan under", "tray under the washer"),
    (r"(?:pressure )?gauges?", "standing water pressure"),
    # water supply
    (r"hose bibb?s?|spigots?|stop ?cocks?|(?:angle|supply|washer|laundry) stops?|(?:supply|angle|shut ?off|stop|isolation|service|washer|laundry) (?:valve|tap)s?", "tap"),
    (r"(?:fill|water|solenoid) valves?", "inlet valve"),
    (r"(?:supply|inlet|feed|braided|water) (?:hose|line)s?|(?:supply|braided) (?:pipe)s?", "fill hose"),
    (r"(?:static|house) (?:water )?(?:pressure|psi)", "standing water pressure"),
    (r"(?:dynamic|working|running|flowing|residual) (?:water )?(?:pressure|psi)", "flowing pressure while water runs"),
    (r"psi", "pressure"),
    (r"prvs?|pressure (?:reducing|regulating) valves?|(?:water )?pressure (?:reducer|regulator)s?", "high pressure regulator"),
    (r"gpm|lpm|flow rates?|(?:gallons|liters|litres) (?:per|a) min(?:ute)?", "flow by bucket"),
    (r"strainers?|mesh(?:es)?", "screens at the inlets"),
    (r"(?:hammer )?arrest[oe]rs?", "arrester"),
    (r"(?:rubber|hose|coupling|flat) (?:gasket|washer)s?", "hose washer coupling"),
    (r"cross ?threaded|stripped|skewed|crooked", "askew"),
    (r"(?:hose|line|hot and cold)(s?) (?:are )?(?:swapped|reversed|mixed up|switched|the wrong way round)", r"hose\1 crossed matched"),
    (r"date codes?|date stamps?", "age date"),
    # drain
    (r"[ps] ?traps?", "trap"),
    (r"aavs?|air admittance valves?", "vent trap"),
    (r"(?:inside|internal|inner) diameters?|diameters?|pipe id", "pipe bore"),
    (r"snake[sd]?|augers?|cable the|drain (?:snake|cable)s?", "rod stops"),
    (r"(?:pour|flood|dump) tests?(?: (?:in|into|down|of) the standpipe)?", "two buckets down the drain"),
    (r"discharge hoses?", "drain hose"),
    (r"high loops?|goosenecks?|u ?bends?|hose (?:guide|hanger|clip)s?|(?:zip|cable) ties?|tie ?wraps?", "drain hose held hook tie"),
    (r"insertion (?:depth|length)", "hose depth"),
    (r"taped|caulked|siliconed|glued|duct tape", "sealed"),
    (r"air ?gaps?|air ?breaks?", "airgap sealed hose"),
    (r"crushed|squashed|flattened|squeezed|folded", "kinked"),
    (r"(?:coin|lint|debris|drain) (?:trap|filter|screen|catcher)s?", "pump filter"),
    (r"impellers?|vanes?", "pump wheel impeller"),
    (r"(?:sewage|sump|ejector|lift) pumps?", "lift drain pump ejector"),
    (r"over ?suds(?:ing|ed)?|suds ?lock(?:ed)?", "suds in the drum"),
    (r"gurgl(?:es?|ing)", "glugging"),
    # power
    (r"gfcis?|gfis?|rcds?|rccbs?|residual current(?: devices?)?|ground fault(?: devices?| outlets?| breakers?| protection)?", "groundfault"),
    (r"afcis?|afdds?|arc fault(?: devices?| breakers?)?", "arcfault"),
    (r"(?:reversed?|wrong) polarity|polarity", "three readings outlet"),
    (r"(?:plug in|receptacle|outlet|socket|three light|circuit) testers?", "three readings outlet"),
    (r"(?:dedicated|individual|separate) circuits?", "own circuit"),
    (r"power ?(?:strip|board|bar)s?|multi ?plugs?|extension (?:cord|lead)s?", "extension cord"),
    (r"volts?|vac", "voltage"),
    (r"amps?|amperes?|amperage", "breaker number rating"),
    (r"ohms?|ohm ?meters?|continuity|winding resistance|coil resistance", "winding tested dead"),
    (r"insulation resistance|meggers?(?:ed)?|megohms?|leak(?:age)? currents?|earth leakage", "leakage of the washer"),
    # stand
    (r"(?:transit|transport|transportation|shipping|packing|packaging) (?:bolt|rod|screw|pin|bracket|spacer|strut)s?", "shipping restraints"),
    (r"(?:jam|check|lock|locking) ?nuts?", "lock nut"),
    (r"(?:level+ing|adjustable) (?:leg|foot|feet)s?", "foot feet"),
    (r"(?:spirit|bubble|torpedo) levels?", "level side front"),
    (r"shock absorbers?|struts?|dampers?|snubbers?|suspension(?: rods?| springs?)?|tub springs?", "tub swing"),
    (r"drive belts?|belts?", "belt and clutch"),
    (r"wobbl(?:e|es|y|ing)|teeters?", "rocks pressed"),
    (r"flex(?:es|ing)?|bouncy?|springy", "gives bounce"),
    # what is asked
    (r"since when|when did (?:it|this|that) (?:start|begin|first happen)|how long has (?:it|this) (?:been )?(?:done|doing|like)? ?(?:this|that|so)?(?: doing (?:this|that|it))?", "when it began"),
    (r"(?:any |are )?(?:the )?lights? on (?:it|the (?:machine|washer|panel|display))|(?:anything |it )?lights? up|(?:panel|display) (?:is )?(?:lit|on|off|dark|dead)", "any sign of life"),
    # machine
    (r"(?:door|tub) (?:boot|bellow|gasket|ring|rubber)s?|bellows?", "door seal"),
    (r"(?:lid|door) (?:switch|lock|latch|interlock)(?: assembly)?", "lid or door lock"),
    (r"pressure (?:switch|sensor|tube|hose)(?: hose| tube)?|pressostat|water level (?:switch|sensor)", "level sensor air hose"),
    (r"(?:error|fault|trouble) codes?", "washer says it is doing"),
    (r"temps?", "temperature"),
    (r"set ?points?", "setting"),
)  # fmt: skip
# Words with which somebody says that a thing is safe; read so where a gate is named, and nowhere else.
SAID_SAFE: tuple[tuple[str, str], ...] = (
    (r"(?:power|breaker|current|electricity|mains) (?:is |was )?(?:off|out|cut|killed|dead)|(?:killed|cut) the power", "unplug unplugged"),
    (r"pulled the plug|plug (?:is )?(?:out|pulled)|(?:disconnected|isolated) from (?:the )?(?:power|mains)", "unplug unplugged"),
    (r"water (?:is )?(?:shut |turned |all )?off|(?:shut|turned|closed) (?:off )?(?:the )?(?:water|main|mains)", "no water running stopped"),
    (r"nothing (?:is )?running|(?:water )?main (?:is )?(?:shut|closed|off)", "no water running stopped"),
    (r"(?:not|nothing) (?:moving|turning|spinning|walking)|(?:stands?|standing) still|at rest|(?:drum|washer|machine) (?:has )?(?:is )?(?:stopped|off)", "machine stopped walks"),
    (r"depressuri[sz]ed|pressure (?:is )?(?:off|out|relieved|released|down)(?: of)?|pressure relieved", "water kept under pressure hose"),
    (r"scorch(?:ing|ed|es)?|smok(?:e|es|ing|y)|burnt|burned", "burning smell"),
    (r"sewer (?:backup|back up|water)|toilet water", "sewage"),
    (r"(?:water )?(?:is )?(?:not hot|cooled(?: down)?|cool enough)|let it cool(?: down)?", "hot water cool"),
    (r"(?:cord|plug|outlet|electrics|electricals) (?:is |are )?dry|dry (?:at|near|round) the (?:cord|plug|outlet)", "dry water near electricity"),
    (r"floors? (?:is |are )?dry|dry floors?", "floor dry near electricity"),
    (r"gas (?:line|pipe|hose)s?", "gas connector"),
)  # fmt: skip


def _compiled(groups: tuple[tuple[str, str], ...]) -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((re.compile(rf"\b(?:{words})\b"), f" {read} ") for words, read in groups)


_GROUPS, _SAFE = _compiled(GROUPS), _compiled(SAID_SAFE)


def read_as_one(text: str, safe: bool = False) -> str:
    """Return a text in lower case with the trade's words for one thing read as one.

    Parameters
    ----------
    text : str
    safe : bool
        It says that something is safe.

    Examples
    --------
    >>> read_as_one("P-trap").split(), read_as_one("is the GFI tripped").split()
    (['trap'], ['is', 'the', 'groundfault', 'tripped'])
    >>> read_as_one("transit bolts").split() == read_as_one("shipping rods").split()
    True
    """
    out = " ".join(text.lower().replace("-", " ").replace("’", "'").split())
    for words, read in (*_SAFE, *_GROUPS) if safe else _GROUPS:
        out = " ".join(words.sub(read, out).split())
    return out
