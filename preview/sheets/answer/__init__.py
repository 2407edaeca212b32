"""Answers: what a command that compares has to say, as blocks; drawn as a sheet, printed as text, written as a page."""
