"""`preview moon --rig`: where a unit can stand that plays the moon, tried out in the set."""
