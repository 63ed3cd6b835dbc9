"""An invented college and an invented firm, made by the program's own use cases with a clock that is moved."""
