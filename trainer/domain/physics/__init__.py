"""Residual currents behind converters, and what devices make of them."""
