"""The generator: a seed, a level and the scenario data in; a proven task out."""
