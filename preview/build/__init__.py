"""Set and cast as triangles: a builder for each kind of piece, and the world they make together."""
