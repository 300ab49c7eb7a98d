// The one table of units: what a suffix of a key or column means in SI.

package input

import (
	"errors"
	"fmt"
	"strings"
)

// Dimension is a kind of quantity. Its canonical unit, the one used inside the
// program, is the one in the comment.
type Dimension string

// The kinds of quantity that files hold.
const (
	Length          Dimension = "length"           // m
	Depth           Dimension = "depth"            // mm of water
	Flow            Dimension = "flow"             // m³/h
	Speed           Dimension = "speed"            // m/s
	Temperature     Dimension = "temperature"      // °C
	DegreeDays      Dimension = "degree days"      // °C·d; a difference, no offset
	Radiation       Dimension = "radiation"        // MJ m⁻² in a day
	HourlyRadiation Dimension = "hourly radiation" // MJ m⁻² in an hour
	Area            Dimension = "area"             // m²
	PerArea         Dimension = "per area"         // 1/m²
	Volume          Dimension = "volume"           // m³
	Pressure        Dimension = "pressure"         // kPa
	Power           Dimension = "power"            // kW
	Mass            Dimension = "mass"             // kg
	PerMass         Dimension = "per mass"         // 1/kg
	Intake          Dimension = "intake rate"      // mm/h
	Percent         Dimension = "percent"          // %
	Angle           Dimension = "angle"            // degrees
	Hours           Dimension = "hours"            // h
	Concentration   Dimension = "concentration"    // mg/L
)

// Unit is one accepted unit. SI = (value - Offset) × Mul / Div; Mul and Div
// are kept apart so that both are exact numbers as published.
type Unit struct {
	Dimension Dimension
	Suffix    string // of keys and columns, without the underscore
	Name      string // for people
	Mul, Div  float64
	Offset    float64
}

// Published constants, all exact by definition unless the comment says
// otherwise: NIST Special Publication 811 (2008), Appendix B. The foot is the
// international foot: the US survey foot, on which SP 811 bases the acre and
// the acre-foot, was withdrawn on 31 December 2022 (85 FR 62698); the two
// differ by 2 parts in a million.
const (
	inchMM    = 25.4
	footM     = 0.3048
	mileM     = 1609.344
	gallonM3  = 231 * 16.387064e-6                                 // US gallon of 231 in³
	acreM2    = 43560 * footM * footM                              // 43 560 ft²
	acreFtM3  = acreM2 * footM                                     //
	poundKg   = 0.45359237                                         // avoirdupois
	gravity   = 9.80665                                            // standard gravity, m/s²
	horseKW   = 550 * footM * poundKg * gravity / 1000             // mechanical: 550 ft·lbf/s
	psiKPa    = poundKg * gravity / (inchMM * inchMM / 1e6) / 1000 // lbf/in²
	waterMKPa = gravity                                            // metre of water at 4 °C, 1000 kg/m³ conventional
	langleyMJ = 0.04184                                            // cal(thermochemical)/cm²
	daySec    = 86400                                              // of the daily mean W/m²; a mean over 24 h by definition
)

// units is the table. The first unit of a dimension is the SI one.
var units = []Unit{
	{Length, "m", "m", 1, 1, 0},
	{Length, "ft", "ft", footM, 1, 0},
	{Length, "cm", "cm", 1, 100, 0},
	{Depth, "mm", "mm", 1, 1, 0},
	{Depth, "in", "in", inchMM, 1, 0},
	{Flow, "m3h", "m³/h", 1, 1, 0},
	{Flow, "gpm", "gal/min", 60 * gallonM3, 1, 0},
	{Flow, "lps", "L/s", 3.6, 1, 0},
	{Speed, "ms", "m/s", 1, 1, 0},
	{Speed, "mph", "mph", mileM, 3600, 0},
	{Speed, "kmh", "km/h", 1, 3.6, 0},
	{Speed, "kn", "kn", 1852, 3600, 0},
	{Temperature, "c", "°C", 1, 1, 0},
	{Temperature, "f", "°F", 5, 9, 32},
	{DegreeDays, "c", "°C·d", 1, 1, 0},
	{DegreeDays, "f", "°F·d", 5, 9, 0},
	{Radiation, "mj", "MJ/m²", 1, 1, 0},
	{Radiation, "wm2", "W/m²", daySec, 1e6, 0}, // mean of the day
	{Radiation, "langley", "langley", langleyMJ, 1, 0},
	{HourlyRadiation, "mj", "MJ/m²", 1, 1, 0},
	{HourlyRadiation, "wm2", "W/m²", 3600, 1e6, 0}, // mean of the hour
	{HourlyRadiation, "langley", "langley", langleyMJ, 1, 0},
	{Area, "m2", "m²", 1, 1, 0},
	{Area, "ac", "ac", acreM2, 1, 0},
	{Area, "ha", "ha", 10000, 1, 0},
	{PerArea, "per_m2", "1/m²", 1, 1, 0},
	{PerArea, "per_ac", "1/ac", 1, acreM2, 0},
	{PerArea, "per_ha", "1/ha", 1, 10000, 0},
	{Volume, "m3", "m³", 1, 1, 0},
	{Volume, "gal", "gal", gallonM3, 1, 0},
	{Volume, "mgal", "million gal", 1e6 * gallonM3, 1, 0},
	{Volume, "acft", "ac-ft", acreFtM3, 1, 0},
	{Volume, "acin", "ac-in", acreFtM3, 12, 0},
	{Pressure, "kpa", "kPa", 1, 1, 0},
	{Pressure, "cb", "cb", 1, 1, 0},
	{Pressure, "psi", "psi", psiKPa, 1, 0},
	{Pressure, "mh2o", "m of water", waterMKPa, 1, 0},
	{Power, "kw", "kW", 1, 1, 0},
	{Power, "hp", "hp", horseKW, 1, 0},
	{Mass, "kg", "kg", 1, 1, 0},
	{Mass, "lb", "lb", poundKg, 1, 0},
	{PerMass, "per_kg", "1/kg", 1, 1, 0},
	{PerMass, "per_lb", "1/lb", 1, poundKg, 0},
	{Intake, "mm_per_h", "mm/h", 1, 1, 0},
	{Intake, "in_per_h", "in/h", inchMM, 1, 0},
	{Percent, "pct", "%", 1, 1, 0},
	{Angle, "deg", "°", 1, 1, 0},
	{Hours, "h", "h", 1, 1, 0},
	{Concentration, "ppm", "ppm", 1, 1, 0},
}

// byDimension holds the table by dimension, in its order.
var byDimension = func() map[Dimension][]Unit {
	m := map[Dimension][]Unit{}
	for _, u := range units {
		m[u.Dimension] = append(m[u.Dimension], u)
	}
	return m
}()

// UnitsOf gives the accepted units of a dimension, the canonical one first;
// nil for a dimension that is not in the table. The caller must not change it.
func UnitsOf(d Dimension) []Unit { return byDimension[d] }

// UnitOf finds the unit of a dimension by its suffix (without underscore).
func UnitOf(d Dimension, suffix string) (Unit, bool) {
	for _, u := range byDimension[d] {
		if u.Suffix == suffix {
			return u, true
		}
	}
	return Unit{}, false
}

// ToSI converts a value in this unit to the canonical unit of its dimension.
// NaN stays NaN. The zero Unit converts nothing.
func (u Unit) ToSI(v float64) float64 {
	if u.Div == 0 {
		return v
	}
	return (v - u.Offset) * u.Mul / u.Div
}

// FromSI is the inverse of ToSI.
func (u Unit) FromSI(v float64) float64 {
	if u.Div == 0 {
		return v
	}
	return v*u.Div/u.Mul + u.Offset
}

// Key gives the name with this unit's suffix: base "tmax" in °F is "tmax_f".
func (u Unit) Key(base string) string {
	if u.Suffix == "" {
		return base
	}
	return base + "_" + u.Suffix
}

// Keys gives every accepted spelling of a quantity, the canonical one first.
// A dimension of "" has no suffix: base alone.
func Keys(base string, d Dimension) []string {
	us := byDimension[d]
	if len(us) == 0 {
		return []string{base}
	}
	keys := make([]string, len(us))
	for i, u := range us {
		keys[i] = u.Key(base)
	}
	return keys
}

// What Choose can find wrong, besides the message.
var (
	ErrNoUnit    = errors.New("not given in any unit")
	ErrBothUnits = errors.New("given in two units")
)

// choiceError is what Choose returns: a message for people around a sentinel.
type choiceError struct {
	msg  string
	kind error
}

func (e choiceError) Error() string { return e.msg }
func (e choiceError) Unwrap() error { return e.kind }

// Choose looks for a quantity under each of its accepted names. has tells
// whether a key is present. It gives the key found and its unit. None present
// is an error that wraps [ErrNoUnit], which the caller ignores for a quantity
// that need not be given; more than one wraps [ErrBothUnits] and key is the
// last of them. The messages say what would be accepted.
func Choose(base string, d Dimension, has func(key string) bool) (key string, u Unit, err error) {
	var found []string
	for _, unit := range byDimension[d] {
		if k := unit.Key(base); has(k) {
			found = append(found, k)
			key, u = k, unit
		}
	}
	switch len(found) {
	case 0:
		return "", Unit{}, choiceError{"missing; give " + OrList(Keys(base, d)), ErrNoUnit}
	case 1:
		return key, u, nil
	}
	return key, u, choiceError{BothMessage(found), ErrBothUnits}
}

// BothMessage says that one quantity is given in several units.
func BothMessage(found []string) string {
	n := len(found) - 1
	all := "both"
	if n > 1 {
		all = "all"
	}
	return fmt.Sprintf("%s and %s are %s given; give one of them", strings.Join(found[:n], ", "), found[n], all)
}
