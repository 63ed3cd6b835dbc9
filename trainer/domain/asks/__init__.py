"""Things to answer besides choosing protection: short questions, places to inspect, readings to judge."""
