// Package logbook holds the records of a logbook, the bbolt file they live in, and the CSV and JSON Lines codecs by
// which they come and go.
//
// Records are immutable. A correction never erases: it strikes the old line and names its successor. Definitions
// (tanks, parameters, methods, supplements, chores, stocks) are keyed by name and the newest one holds; entries
// (readings, dosing, doses, water changes, events, refills, ...) are keyed by their time.
//
// All numbers that are computed with are in the parameter's canonical unit; what was typed is kept beside them. All
// times come from the caller: the package never reads the clock.
package logbook
