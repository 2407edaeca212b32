"""`preview moon`: directions of the moon traced in one go, seen, ranked."""
