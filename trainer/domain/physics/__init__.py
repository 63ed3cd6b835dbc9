"""Residual currents of earth faults: waveforms behind front ends, their classes, what devices make of them."""
