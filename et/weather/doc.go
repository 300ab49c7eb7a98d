// Package weather reads weather files, daily or hourly, into the days that
// package et computes with, and checks every value on the way.
//
// What cannot be right is a Problem: the file has to be mended, or the value
// listed as a code for "nothing measured". What is merely unlikely, and what
// was done about a gap, is a Doubt: it is told and does not stop the work.
// Nothing is estimated here but short gaps of temperature (see Record.Days).
//
//	Problems                                Doubts
//	cell that is no number, date or time    column without a rain gauge
//	value outside what can be (limits.go)   RH over 100 up to 105 %: taken as 100
//	Tmin above Tmax, RHmin above RHmax      solar slightly below 0: taken as 0
//	dew point or wet bulb above the air     the same by less than the sensor error: taken as equal
//	  by more than the sensor error
//	more sun than outside the air           Rs over 1.1 Rso or under 0.03 Ra
//	humidity written as a fraction          RHmean outside RHmin..RHmax, sunshine over the day length
//	date or time twice, values differ       the same, values equal; rows out of order
//	a gap of more than ten years            days or hours missing; temperature filled, or too long to fill
//	time that clocks skip, not on the hour  time that clocks show twice, first taken
//	                                        the same value on many days running
//
// Everything is converted to SI as it is read; messages show the text and the
// unit of the file.
package weather
