"""An invented crowd: many organisations with years of answers, for seeing what a full database is like."""
