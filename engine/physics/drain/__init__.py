"""Drain physics in one place: stack, sloping drain, full bore, standpipe, gaps, siphon, pump, friction, leaks.

SI in, SI out, standard library only. What may be said of a result:

- `stack_capacity` is a design limit with an open air core; overflow is judged by `full_bore_flow`, as a margin.
- Siphoning is judged by `siphon_head` on this machine's own water line, never by a fixed height.
- Friction is Darcy with Colebrook's factor unless a function says Hazen-Williams.
"""
