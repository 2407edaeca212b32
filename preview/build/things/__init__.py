"""Things: vehicles, lamps, camp and market, a file for each thing or family of them."""
