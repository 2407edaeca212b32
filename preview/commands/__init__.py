"""What each command does, from a scene to its files: one file a command. The command line only parses and prints."""
