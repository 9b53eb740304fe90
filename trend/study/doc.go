// Package study judges the trend engine on simulated tanks whose truth is known. All of it stands in test files: it is
// run by go test alone, and the files that end in _self_test.go test the study itself.
//
// A Series is one tank and one nutrient for a year or two: the true level on a quarter-day grid, the readings that a
// keeper with a given kit and habit would have written down, and the inputs that were known. Simulate draws them from a
// seed; the same seed gives the same series on every machine and in every order.
//
// A Detector looks at a series as-of each past reading and says how alarmed it is, and what it knows of the level.
// Judge compares alarms with the floor crossings that came; Calibrate compares intervals and chances with the truth.
// Ceiling is a filter that is told how the tanks were made, and shows how much could be known at all. Run does
// everything; Result.Page writes it down.
//
// No engine should be judged only where its constants were chosen. Worlds are the simulator with something altered,
// and another simulator (Pools) of a different build; Slides are plain falls beside the ruler that a keeper would
// lay; Waters are public series of rivers. Constants may be chosen on any seed but the one that the page is made on,
// and on the series of water named chooseWater.
//
// Levels inside this package are in floors (level divided by the floor) unless a comment says otherwise; observations
// and inputs are in the nutrient's canonical unit, as the engine expects them. Times are days since the start of the
// series.
package study
