// Package trend says how far a parameter of the water is, where it is going, and how sure that is. Numbers and times go in,
// results come out; it knows nothing of tanks, methods, stores or screens, and reads no clock.
//
// # Two views
//
// What can be said without a model: RollingView gives the slope of the last weeks as the median of all pair slopes, with
// intervals, and tests it by ranks. It takes readings for what they are, limits included, and knows nothing of doses. Its parts
// stand alone as RankTrend, MannKendall and AkritasTheilSen.
//
// What is going on now and next: Assess follows level and slope through readings, doses, water changes and dosing, and
// forecasts. Hindcast says the same as-of each past reading, which is how it is judged.
//
// Around these: FindMove and Compare for "did something change, when, by how much"; Drift for a level that should stay;
// FitLine for plain comparison; RepeatabilityOf for what a method can show.
//
// # Conventions
//
// Time is in days since any fixed origin; functions centre it, so that days since 1970 lose nothing. Slopes are per day, save
// in fields named PerWeek. Values are in one unit, the parameter's canonical one, and results in the same; variances in its
// square; S, tau and chances have none. Chances lie in 0..1, levels of intervals likewise: 0.95, not 95.
//
// Order: observations are in order of Day, oldest first. Functions on plain slices of times and values take any order, and
// functions on values alone take them in order of time. Readings at equal times are allowed everywhere; a pair of them has no
// slope and no order. Indices count from 0; numbers of readings before a move, as in "after reading 28", count from 1.
//
// An interval is two-sided with equal tails. Ends are infinite where the readings set no bound. Interval.Attained is the
// confidence it has, where that is known, beside the one asked for.
//
// NaN in a result means unknown, and a Note says why: "needs 4 readings, has 2". Unknown is an answer, and is not the same as
// "no change": too few readings, or readings that all are limits, never give a slope of 0. NaN or ±Inf among times and values
// going in is a slip of the caller.
//
// A slip of the caller panics with "trend: ", the function and what was wrong: slices of different length, values that are not
// finite, levels outside 0..1, observations out of order. Data that cannot tell is never a slip.
//
// A reading "<0.02" is what it says: the value lies below 0.02. Nothing puts half the limit in its place. Where a function can
// only take it for its limit (Rolling.AsLimits, Drift) the result or a note says so.
//
// Chance decides nothing: functions that sample or shuffle do so with fixed seeds, and the same input gives the same output.
//
// # References
//
// Each function names its own. Books that serve for most: M. G. Kendall, 1970, Rank Correlation Methods, 4th edition;
// D. R. Helsel, R. M. Hirsch, K. R. Ryberg, S. A. Archfield, E. J. Gilroy, 2020, Statistical Methods in Water Resources, US
// Geological Survey Techniques and Methods 4-A3; D. R. Helsel, 2012, Statistics for Censored Environmental Data, 2nd edition;
// NIST/SEMATECH e-Handbook of Statistical Methods. Tests compare with the values in testdata/reference, made with other
// software and with the sources beside them.
package trend
