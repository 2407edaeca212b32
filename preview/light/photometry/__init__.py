"""Photometry: files that say how a luminaire shines, LM-63 and EULUMDAT, read into one `Web`."""
