"""Processes are killed, the disk is filled and the clock set while people sit a paper; what was told must be there."""
