"""`preview sky`: sun and moon of the night, over the place, in and out of shot."""
