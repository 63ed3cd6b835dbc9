"""Papers on paper: asked for on a page, made by the job runner, taken from a page."""
