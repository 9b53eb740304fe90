// Package study judges the trend engine on simulated tanks whose truth is known.
//
// A Series is one tank and one nutrient for a year or two: the true level on a quarter-day grid, the readings that a
// keeper with a given kit and habit would have written down, and the inputs that were known. Simulate draws them from a
// seed; the same seed gives the same series on every machine and in every order.
//
// A Detector looks at a series as-of each past reading and says how alarmed it is. Judge compares the alarms with the
// floor crossings that came; Calibrate compares the engine's intervals and chances with the truth. Ceiling is a filter that
// is told how the tanks were made, and shows how much could be known at all. Run does everything; Result.Page writes it down.
//
// Levels inside this package are in floors (level divided by the floor) unless a comment says otherwise; observations and
// inputs are in the nutrient's canonical unit, as the engine expects them. Times are days since the start of the series.
package study
