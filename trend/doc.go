// Package trend says how far a parameter of the water is, where it is going, and how sure that is. Numbers and times
// go in, results come out; it knows nothing of tanks, methods, stores or screens, and reads no clock.
//
// # Two views
//
// What can be said without a model: RollingView gives the slope of the last weeks as the median of all pair slopes,
// with intervals, and tests it by ranks. It takes readings for what they are, limits included, and knows nothing of
// doses. Its parts stand alone as RankTrend, MannKendall and AkritasTheilSen.
//
// What is going on now and next: Assess follows level and slope through readings, doses, water changes and dosing, and
// forecasts. Hindcast says the same as-of each past reading, which is how it is judged.
//
// Around these: FindMove and Compare for "did something change, when, by how much"; Drift for a level that should stay;
// FitLine for plain comparison; RepeatabilityOf for what a method can show.
//
// # The model behind Assess
//
// Levels are counted in anchors: the floor where there is one, else the first reading. The true level is exp(c + u).
// The course c moves in one of four ways: it is still; it changes by a share every day, dc = s dt; by an amount every
// day, d exp(c) = s dt; or it is driven by a change of dosing, likewise by an amount. The wobble u is an
// Ornstein–Uhlenbeck process about zero. Courses creep, and slopes bend, by random walks. A still course starts on one
// of several kinds of course with the hazard of its onset; the slope is then drawn from a Gaussian, and the readings
// sharpen it. It comes to rest with the hazard of its end: for falls some part in twenty for every e-fold, so that a
// steep fall is expected to end no sooner than a slow one on the way to the floor. All numbers stand in model.go.
//
// Not known, and weighed against each other by how well they foretell the readings (members of a bank): how large the
// wobble is and how long it lasts, up to that of a river; whether a method scatters as described, or 1.8 times so; of
// undescribed methods, which kind of kit it is. How restless a tank is, a quarter or two and a half times the
// hazards, is carried along by every piece.
//
// The belief is a sum of Gaussians over (c, s, u), one for each way of moving and each member, carried by Kalman
// filters (belief.go). A reading is the chance that a Gaussian error falls into an interval; mean and covariance
// under it are taken by quadrature over the level (update.go), blunders and unseen jumps included. The slope is thus
// free and integrated out exactly, given the way of moving; pieces that began at different times are merged after two
// readings, which is where the filter is not exact.
//
// Of what runs out, the slope that is said goes with the word that is said. Once nine tenths of the belief lie on
// one side, so that the word is "falling" or "rising", value and interval are those of the courses that move so;
// resting courses are left out (conditioning on the regime: C.-J. Kim, C. R. Nelson, 1999, State-Space Models with
// Regime Switching, chapter 5; from memory). Where no way is clear the interval is that of all courses, and the
// value that of the likelier way. A straight fall is told at about nine tenths of its slope in the median, and a
// proportional one at about an eighth too much: from readings that spread by a tenth the two cannot be told apart
// before most of the way is gone.
//
// The chance of the floor is worked out backwards from the floor once for every member (below.go), and read off at
// nine points of each piece. Inputs that are known move every piece by the arithmetic (input.go). Beside the model
// lies a ruler (line.go): where it has warned at two tests in a row, the flag is raised though the model doubts, and
// where its slope and the model's exclude each other at 95 %, the earlier of their dates is told.
//
// What cannot be known: a sudden fall between two tests is seen at the test after it (in STUDY.md eight in ten are
// called by then, three in ten before); a method that drifts, with no other beside it, moves the level and its
// interval along (where reagents drift, 80 % intervals of a low level hold two in three).
//
// # Conventions
//
// Time is in days since any fixed origin; functions centre it, so that days since 1970 lose nothing. Slopes are per
// day, save in fields named PerWeek. Values are in one unit, the parameter's canonical one, and results in the same;
// variances in its square; S, tau and chances have none. Chances lie in 0..1, levels of intervals likewise: 0.95, not
// 95.
//
// Order: observations are in order of Day, oldest first. Functions on plain slices of times and values take any
// order, and functions on values alone take them in order of time. Readings at equal times are allowed everywhere; a
// pair of them has no slope and no order. Indices count from 0; numbers of readings before a move, as in "after
// reading 28", count from 1.
//
// An interval is two-sided with equal tails. Ends are infinite where the readings set no bound. Interval.Attained is
// the confidence it has, where that is known, beside the one asked for.
//
// NaN in a result means unknown, and a Note says why: "needs 4 readings, has 2". Unknown is an answer, and is not the
// same as "no change": too few readings, or readings that all are limits, never give a slope of 0. NaN or ±Inf among
// times and values going in is a slip of the caller.
//
// A slip of the caller panics with "trend: ", the function and what was wrong: slices of different length, values
// that are not finite, levels outside 0..1, observations out of order. Data that cannot tell is never a slip.
//
// A reading "<0.02" is what it says: the value lies below 0.02. Nothing puts half the limit in its place. Where a
// function can only take it for its limit (Rolling.AsLimits, Drift) the result or a note says so.
//
// Chance decides nothing: functions that sample or shuffle do so with fixed seeds, and the same input gives the same
// output.
//
// # References
//
// Each function names its own. Books that serve for most: M. G. Kendall, 1970, Rank Correlation Methods, 4th edition;
// D. R. Helsel, R. M. Hirsch, K. R. Ryberg, S. A. Archfield, E. J. Gilroy, 2020, Statistical Methods in Water
// Resources, US Geological Survey Techniques and Methods 4-A3; D. R. Helsel, 2012, Statistics for Censored
// Environmental Data, 2nd edition; NIST/SEMATECH e-Handbook of Statistical Methods. Tests compare with the values in
// testdata/reference, made with other software and with the sources beside them.
package trend
