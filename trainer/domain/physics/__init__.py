"""Residual currents of earth faults: waveforms behind front ends, their classes, and devices."""
