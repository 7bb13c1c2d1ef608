"""Water on its way in: pressure, flow, couplings, taps, hammer, leaks, heat."""
