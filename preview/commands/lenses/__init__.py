"""`preview lenses`: one place or one figure through several lenses and formats."""
