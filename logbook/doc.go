// Package logbook holds the records of a logbook, the bbolt file they live in, and the CSV and JSON Lines codecs by
// which they come and go.
//
// Records are immutable. A correction never erases: it strikes the old line and names its successor. Definitions
// (tanks, parameters, methods, supplements, chores, stocks) are keyed by name and the newest one holds; entries
// (readings, dosing, doses, water changes, events, refills, ...) are keyed by their time.
//
// What a definition says is derived from the changes that were noted of it, by derive.go, and is the same in every book
// that has them. Of definitions that are sound one by one and make no sense together, such as two parameters of one
// code, the rule of sensible leaves out the same part in every book, until the changes say otherwise.
//
// All numbers that are computed with are in the parameter's canonical unit; what was typed is kept beside them. All
// times come from the caller: the package never reads the clock.
package logbook
