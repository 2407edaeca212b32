"""Cast: figures as triangles."""
