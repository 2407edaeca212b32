"""Growth: trees, hedges, grass and reeds as triangles."""
