"""The picture book: what there is to build, cast, paint and light with, a cell for each, drawn by the program itself."""
