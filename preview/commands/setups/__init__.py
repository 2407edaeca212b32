"""`preview setups`: the setups of a scene side by side: what holds, what drifts, what is cheated."""
