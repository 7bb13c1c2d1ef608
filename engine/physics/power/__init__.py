"""The circuit, the outlet, the ground-fault device and the wire."""
