"""Night: the real night of a place: sun and moon by the hour, their light. Knows no script and no camera."""
