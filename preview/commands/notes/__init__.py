"""Notes: what a command says of a scene that the scene does not say itself."""
