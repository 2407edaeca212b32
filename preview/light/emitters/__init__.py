"""Sources of light in lux: one file per kind, all meeting `preview.light.light.Emitter`."""
