"""Sculpt: the offline making of the stored figures, by `python -m preview.build.sculpt`."""
