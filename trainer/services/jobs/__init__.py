"""Work that takes longer than a page may: asked for in the web, done by a runner in a process of its own."""
