// Package units turns the SI numbers of the program into what a person reads:
// US customary or SI, rounded to what a gauge, a panel or a tape shows. It is
// used for display only; nothing here is ever read back.
//
// Factors are exact definitions: NIST SP 811 (2008), Appendix B.8 (inch,
// gallon, horsepower) with the international foot for lengths and areas, as
// NIST and NGS set from 2023 on.
package units

import (
	"math"
	"strconv"
	"strings"
)

// System is how quantities are shown. The zero System is US customary.
type System uint8

// The two systems.
const (
	US System = iota
	SI
)

// Parse gives the System called "us" or "si"; ok is false for any other text.
func Parse(text string) (s System, ok bool) {
	switch text {
	case "us":
		return US, true
	case "si":
		return SI, true
	}
	return US, false
}

// String is the name that Parse accepts.
func (s System) String() string {
	if s == SI {
		return "si"
	}
	return "us"
}

// Exact factors, NIST SP 811 App. B.8.
const (
	mmPerInch     = 25.4
	mPerFoot      = 0.3048
	m3PerGallon   = 3.785411784e-3
	m2PerAcre     = 43560 * mPerFoot * mPerFoot
	m3PerAcreInch = m2PerAcre * mmPerInch / 1000
	mjPerLangley  = 0.04184 // 1 cal(th)/cm² = 41 840 J/m²
	msPerMPH      = 0.44704
	m2PerHectare  = 1e4
	missing       = "-"
)

// Quantity is one kind of number with its unit and decimals in both systems.
// The zero Quantity is not valid; use the ones below.
type Quantity struct {
	usUnit, siUnit         string
	usFactor               float64 // shown = SI × factor + offset
	usOffset               float64
	siFactor               float64
	usDecimals, siDecimals int
}

// The quantities the tables show. The comment gives the SI unit expected.
var (
	Depth       = Quantity{"in", "mm", 1 / mmPerInch, 0, 1, 2, 1}                // mm of water
	Rate        = Quantity{"in/h", "mm/h", 1 / mmPerInch, 0, 1, 2, 1}            // mm/h
	Ground      = Quantity{"ft", "m", 1 / mPerFoot, 0, 1, 1, 2}                  // m below ground
	Temperature = Quantity{"F", "C", 9.0 / 5, 32, 1, 1, 1}                       // °C
	Wind        = Quantity{"mph", "m/s", 1 / msPerMPH, 0, 1, 1, 2}               // m/s
	Radiation   = Quantity{"ly/d", "MJ/m2", 1 / mjPerLangley, 0, 1, 0, 2}        // MJ m⁻² d⁻¹
	Pressure    = Quantity{"kPa", "kPa", 1, 0, 1, 2, 2}                          // kPa
	Volume      = Quantity{"gal", "m3", 1 / m3PerGallon, 0, 1, -3, 0}            // m³
	Supply      = Quantity{"ac-in", "m3", 1 / m3PerAcreInch, 0, 1, 1, 0}         // m³, for ground rather than for a pump
	Area        = Quantity{"ac", "ha", 1 / m2PerAcre, 0, 1 / m2PerHectare, 1, 2} // m²
	Hours       = Quantity{"h", "h", 1, 0, 1, 1, 1}                              // hours
	Coefficient = Quantity{"", "", 1, 0, 1, 2, 2}                                // Kcb, Ke, Ks
)

// Unit is the unit's short name in s, for a column's header.
func (q Quantity) Unit(s System) string {
	if s == SI {
		return q.siUnit
	}
	return q.usUnit
}

// Value converts an SI number for display in s.
func (q Quantity) Value(s System, si float64) float64 {
	if s == SI {
		return si * q.siFactor
	}
	return si*q.usFactor + q.usOffset
}

// Format gives the bare number for a table, rounded, with commas from ten
// thousand up. A number that is missing (NaN) or has no end (infinite) is "-".
func (q Quantity) Format(s System, si float64) string {
	v := q.Value(s, si)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return missing
	}
	decimals := q.usDecimals
	if s == SI {
		decimals = q.siDecimals
	}
	return Number(v, decimals)
}

// Text gives the number with its unit, for a sentence: "0.75 in", "3.1 ft".
func (q Quantity) Text(s System, si float64) string {
	unit := q.Unit(s)
	if unit == "" {
		return q.Format(s, si)
	}
	return q.Format(s, si) + " " + unit
}

// Number rounds v to the given decimals and puts commas between thousands
// from 10,000 up. Negative decimals round to tens, hundreds or thousands: a
// pumped volume is not known to the gallon. It never prints "-0".
func Number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return missing
	}
	if decimals < 0 {
		step := math.Pow10(-decimals)
		if math.Abs(v) < 10*step { // small amounts keep two figures
			step /= 10
		}
		v = math.Round(v/step) * step
		decimals = 0
	}
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	whole, rest, point := strings.Cut(text, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	if sign != "" && strings.Trim(whole+rest, "0") == "" {
		sign = ""
	}
	if len(whole) > 4 {
		var grouped []byte
		for i := range len(whole) {
			if i > 0 && (len(whole)-i)%3 == 0 {
				grouped = append(grouped, ',')
			}
			grouped = append(grouped, whole[i])
		}
		whole = string(grouped)
	}
	if point {
		whole += "." + rest
	}
	return sign + whole
}

// Money gives an amount in whole units with the currency's sign or code in front.
func Money(currency string, v float64) string { return money(currency, v, 0) }

// Price gives an amount to the hundredth, for what is small by itself.
func Price(currency string, v float64) string { return money(currency, v, 2) }

func money(currency string, v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return missing
	}
	n := Number(v, decimals)
	switch currency {
	case "", "USD", "$":
		if strings.HasPrefix(n, "-") {
			return "-$" + n[1:]
		}
		return "$" + n
	case "EUR", "€":
		return "€" + n
	}
	return currency + " " + n
}
