// Package water is the arithmetic of seawater in a coral aquarium: units, salinity, stoichiometry, doses, water changes
// and plans. It stands alone: nothing but the standard library is imported, nothing is stored, no clock is read.
//
// # Conventions
//
// Concentrations are in mg per litre of water and alkalinity in dKH (German degrees) unless a name says otherwise.
// Volumes are litres of net water, which is what the tank holds less rock, sand and air; masses are grams; times are
// days. Temperatures are ITS-90 degrees Celsius, as a thermometer of today shows, unless a name says T68.
//
// "ppm" in the trade means mg/L, and so it is read here. Strictly ppm is mg/kg, which in reef water is 2.3 % less: say
// mg/kg where that is meant.
//
// Conversions of pure numbers (units, salinity) answer NaN for what cannot be, as package math does, and the comment
// says when. Functions that tell somebody how much to put into a tank return an error for impossible input instead:
// a negative volume, a fraction beyond 0..1, a target out of reach.
//
// # Where numbers come from
//
// Every formula and constant names its source, with one of these words: published (printed in the named source),
// computed (worked out from published values), common practice (of the trade, without a source), from memory
// (remembered, not verified). The check values with their sources are in testdata/reference.
package water
