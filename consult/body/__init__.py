"""Who is sitting: survey statistics, the unmeasured estimated from the measured, plausibility."""
