"""Buildings: houses, shops, walls and fences as triangles."""
