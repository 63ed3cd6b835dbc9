"""The single-line diagram: an installation as a tree of words, and the same tree as a drawing."""
