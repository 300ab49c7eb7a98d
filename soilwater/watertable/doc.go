// Package watertable tells how deep the water table stands in an observation
// pipe, and under the ground that follows the pipe, on any day: between
// readings, before the first, and carried forward after the last, each with
// its standard error. Depths are in m below ground, times in calendar days,
// rain in mm.
//
// A reading that has moved further than a table moves is left out, until the next
// one agrees with it: see [Check]. Between readings the depth is a straight line. Past the last reading it is
// carried along a recession where one is justified and has proved itself, and
// held at the last reading otherwise.
//
// The recession is the linear reservoir: outflow in proportion to the head
// above a base level, so that the table falls towards that level by
//
//	depth(t) = d0 + r·g(t),  g(t) = k·(1 - e^(-t/k))
//
// with d0 the depth at the last reading, r the rate of fall there, k the
// reservoir constant; the base level is d0 + r·k. k without bound is a straight
// line. Source: Maillet 1905 (Essais d'hydraulique souterraine et fluviale);
// Boussinesq 1903 gives the same form for an aquifer of nearly even thickness.
// Both cited from memory. With k given the curve is linear in r, which is
// fitted by least squares to the readings of the last weeks, through the last
// of them; k belongs to the aquifer and is the one of a few that would have
// erred least over the pipe's whole past.
//
// A fit is trusted only if forecasts made in the same way from the pipe's own
// earlier readings (hindcasts) beat "no change". See [Held] for every reason
// not to trust one.
//
// Standard errors. Away from a reading the table wanders as a Wiener process
// whose rate is the pipe's own: variance σ²·t after t days, and σ²·a·b/(a+b)
// at a days after one reading and b before the next (the Brownian bridge).
// Along a recession the variance is that of predicting one new value from a line
// through the last reading, which errs like the others,
//
//	s²·(1 + (1 - g·Σx/Σx²)² + g²/Σx²),  x the g of the readings fitted,
//
// with s² about the ordinary least-squares line, n-2 degrees of freedom (the
// law of propagation of errors; Draper & Smith, Applied Regression Analysis, for
// s², from memory), and the wander that the hindcasts have shown about their
// recessions. The line is not the one that errs least were readings all that
// errs: what a table does between them is more than what a tape misses by, and
// on the wells of the tests lines through the last reading forecast better than
// free ones.
//
//	reading.go    readings, and what can be wrong with them
//	recession.go  the fit
//	hindcast.go   what fits would have been worth in the past
//	pipe.go       depth and standard error in the pipe on any day
//	zone.go       the same under ground that follows a pipe, or follows none
package watertable
