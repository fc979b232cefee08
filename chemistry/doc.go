// Package chemistry computes what film and chemistry do: exposure and push,
// development time, the life of a fill, replenishment, control strips, waste.
//
// It is pure. Values go in and values come out; there is no clock, context,
// database or network here, and a time that matters is an argument. Every
// published figure carries its [Source], so that a run sheet can say where a
// number comes from. Units are in the type or the name: seconds, °C, mL, m²,
// and stops as exact sixths.
package chemistry
