"""The command line: one module for each command, loaded only when it is called."""
