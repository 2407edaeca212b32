"""Land: the ground, streets and paths as triangles."""
