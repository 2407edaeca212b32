"""`preview looks`: looks and sweeps of one frame, from light that is kept."""
