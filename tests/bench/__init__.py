"""The bench: speed and growth on this machine, as ratios measured in one run. Nothing here is asserted."""
