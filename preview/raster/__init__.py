"""The raster engine: what is seen and what is shadowed, drawn by a GL driver; how much light, by the lights themselves."""
