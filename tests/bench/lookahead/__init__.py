"""A rival of the shipped choice: parallel rollout once few causes are alive, else one step ahead.

It was the shipped choice of the last role in the chain until it was measured that nobody at a machine is better off for it. Once a
belief leaves that role at most 8 causes alive (those of the scenarios that hold 98.5 % of it), every first step is followed by two
base policies over what remains after any mend (`remaining`, `rollout`), at most 96 beliefs a depth, 8 steps deep, and the cheapest is
taken (`ahead`). The gate and the bounds are counts, never a clock. Method: parallel rollout, Chang, Givan & Chong 2004.

What was measured, in homeowner minutes, paired by site, with standard errors:

- Against one step ahead on the shipped kb, technicians alone, since no other role looks ahead: +1.5 +- 0.7 on 1,216 sites, then
  -0.85 +- 0.84 and +0.28 +- 0.37 on 640 others each (40 of each complaint, seeds 8191 and 524287, the number fixed beforehand). The
  mean hangs on a handful of sites where one of the two calls the specialist, 250 to 325 minutes each. No difference can be told.
- On cuts from the kb .40 % above the optimum against .42 %; on random 8 x 10 networks .79 % against 1.78 %, its only clear gain.
- `rollout throughout`, for every role and any number of causes: 3.3 +- 1.5 % dearer over all roles of 288 sites. The followers don't reach
  the ends over all that a fresh complaint leaves open. Keeping more of the belief (99.9 % for 99.5 %) changed nothing.

What was learnt on the way:

- A belief that is not followed any further is closed with what can really be done. Closed with the optimistic leaf, or half of it, the
  rollout asks four questions more and saves nothing. The plan's own price of handing on is optimistic, too (finding out is taken to
  cost the next role the same whatever failed before); `Stacked.closing` prices what the mends leave, and the price is then a bound that
  tests hold to the exact optimum.
- What a rollout saves is real, so 0.3 % is enough to ask; with the 2 % that an optimistic leaf needs, it acted too early and cost 8 % more.
- Pricing three questions a belief, those that tell most per minute, gives the same steps as pricing all in a quarter of the time.
- Past handing on the followers don't reach the ends either: on cuts from the kb up to 6 % above the optimum where a homeowner or a desk
  may hand on, one step ahead up to 1.1 %.
- Asking on where one step ahead would ask although acting is cheaper by up to 3 % cost 2 % on small views and saved nothing. Asking on
  instead of handing the case on is another matter: with a pool of 12 questions and 8 steps the rollout gives up too early on the whole
  kb (two technician's sites of 128 cost 275 and 200 minutes more by it), and asking there costs .15 % on small views.
"""
