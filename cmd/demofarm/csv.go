// CSV files in US units, as a North American station and grower would keep
// them.

package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
)

// Exact by definition: the inch, the mile; a langley is 0.04184 MJ/m² (NIST SP
// 811, Appendix B).
const (
	mmPerInch    = 25.4
	mPerFoot     = 0.3048
	msPerMPH     = 0.44704
	mjPerLangley = 0.04184
	m3PerGallon  = 3.785411784e-3
	m2PerAcre    = 4046.8726 // US survey acre
)

func fahrenheit(c float64) float64 { return c*9/5 + 32 }

// table writes rows under a header.
func table(header []string, rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	// A bytes.Buffer takes every write, and csv.Writer fails only when its writer does.
	_ = w.Write(header)
	_ = w.WriteAll(rows)
	return b.Bytes()
}

// num prints v with so many decimals, never as -0.
func num(v float64, decimals int) string {
	s := fmt.Sprintf("%.*f", decimals, v)
	if s == fmt.Sprintf("-%.*f", decimals, 0.0) {
		return s[1:]
	}
	return s
}

// mark stands in every row of invented weather, so that no copy of the file can
// pass for a measurement. The farm's settings tell the program to ignore it.
const mark = "invented"

var weatherHeader = []string{"date", "tmax_f", "tmin_f", "rhmax_pct", "rhmin_pct", "wind_mph", "solar_langley", "rain_in"}

func weatherRow(w weather) []string {
	return []string{
		w.Date.String(), num(fahrenheit(w.TmaxC), 1), num(fahrenheit(w.TminC), 1),
		num(w.RHmax, 0), num(w.RHmin, 0), num(w.WindMPerS/msPerMPH, 1),
		num(w.RsMJ/mjPerLangley, 1), num(w.RainMM/mmPerInch, 2),
	}
}

func weatherCSV(days []weather) []byte {
	rows := make([][]string, len(days))
	for i, w := range days {
		rows[i] = append(weatherRow(w), mark)
	}
	return table(append(weatherHeader[:len(weatherHeader):len(weatherHeader)], "source"), rows)
}

// outlook is what the forecaster says of the coming days: chance of rain, %, and
// the amount expected if it comes, in. A shower may come late in the window.
var outlook = []struct{ chance, rainIn float64 }{
	{0, 0}, {5, 0}, {5, 0}, {10, 0}, {10, 0}, {20, 0.05}, {45, 0.30}, {35, 0.20}, {20, 0.05}, {15, 0},
}

// forecastCSV is the season's hidden days as a forecaster would see them: pulled
// towards the mean the farther ahead, with an error of its own, and with the
// stated outlook for rain in place of the truth.
func forecastCSV(o options, season []weather, rng *rand.Rand) []byte {
	from, _ := seasonSpan(year)
	var rows [][]string
	for i, day := range outlook {
		truth := season[o.Today.DaysSince(from)+i]
		doy := o.Today.DaysSince(date(year, 1, 1)) + 1 + i
		usual := dress(truth.Date, day.chance >= 40, 0, [3]float64{}, 0, 0)
		skill := math.Exp(-float64(i) / 5)
		mix := func(truth, usual float64) float64 { return usual + skill*(truth-usual) }
		w := weather{
			Date:      truth.Date,
			TmaxC:     mix(truth.TmaxC, usual.TmaxC) + 0.8*rng.NormFloat64(),
			TminC:     mix(truth.TminC, usual.TminC) + 0.8*rng.NormFloat64(),
			RHmax:     mix(truth.RHmax, usual.RHmax),
			RHmin:     mix(truth.RHmin, usual.RHmin),
			WindMPerS: mix(truth.WindMPerS, usual.WindMPerS),
			RsMJ:      min(mix(truth.RsMJ, usual.RsMJ), 0.97*clearSkyMJ(doy)),
			RainMM:    day.rainIn * mmPerInch,
		}
		rows = append(rows, append(weatherRow(w), num(day.chance, 0), mark))
	}
	return table(append(weatherHeader[:len(weatherHeader):len(weatherHeader)], "rain_chance_pct", "source"), rows)
}
