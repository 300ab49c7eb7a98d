// Package et holds the weather side of the water balance: one day's or one
// hour's weather in, reference evapotranspiration out. Sub-packages read
// weather files (et/weather, on et/input) and draw crop curves (et/crop).
//
// Everything is SI: °C, kPa, m/s at the stated height, MJ m⁻² d⁻¹ (or h⁻¹), mm.
// NaN means "not measured"; zero is always a measurement. No function here
// reads a file, a clock or a global, and none keeps state.
package et
