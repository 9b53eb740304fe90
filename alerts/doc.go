// Package alerts examines a tank as-of a moment. It is the one path by which both front ends, screen and command line,
// come to what they show.
//
// One reading goes this way, each step one exported function with plain inputs:
//
//	logbook.ParseReading   "<0.02" typed beside "phosphate"  -> a Reading in the canonical unit
//	(*logbook.Book).Append the Reading                       -> a durable line of the book
//	Observer.Observe       the Reading and its Method        -> an interval and a standard deviation
//	trend.Assess           the observations of a series      -> level, slope, forecast, chances
//	Examine                all series of a tank              -> assessments and alerts
//
// Loading comes first and once: a Series holds all that is known of one parameter, and what is said of it (a Finding,
// Series.Judge of a reading that is typed, Series.WhatIf) reads nothing more.
//
// The package reads no clock: every function takes the moment its answer is for. Days are counted from the Unix epoch
// in UTC (see Day), so that a change to summer time is not a change of slope.
package alerts
