// Package crop draws a crop through its season: growth stage, Kc and Kcb with
// the climate adjustment, height and root depth, one value a day, shared by
// every cell of a field. It follows FAO Irrigation and Drainage Paper 56
// (Allen, Pereira, Raes and Smith 1998), chapters 5 to 7 and Annexes 7 and 8:
//
//	Kc ini      Eq. 7-3 and 59 to 61  [Wetting.KcIni], [Wetness], [FieldIrrigation]
//	adjustment  Eq. 62, 65 and 70     [ClimateTerm], applied by [Season.Days]
//	curve       Eq. 66                [Season.Days]
//	Kc max      Eq. 72                [KcMax]
//	cover       Eq. 76                [Cover]
//	roots       Eq. 8-1               [Season.Days]
//
// [Lookup] has a catalogue of crops; every value in it can be replaced.
package crop

import (
	"errors"
	"fmt"
	"math"

	"github.com/golang-sql/civil"
)

// Day is what the water balance needs to know of the crop on one day.
type Day struct {
	Date    civil.Date
	Stage   Stage
	Kc      float64 // single crop coefficient, climate adjusted
	Kcb     float64 // basal crop coefficient, climate adjusted; 0 on bare ground
	HeightM float64
	RootM   float64 // rooting depth, m
	P       float64 // depletion fraction for no stress at ETc 5 mm/day, FAO-56 Table 22
	Ky      float64 // seasonal yield response factor; NaN if unknown
	// KcFixed: Kc rests on a fixed Kc ini or Kc of bare ground, because too little
	// is known of how the ground was wetted. Only with Season.Wetness.
	KcFixed bool
}

// Stage is a growth stage of FAO-56 chapter 6. The zero Stage is bare ground.
type Stage uint8

// The stages in order.
const (
	Bare Stage = iota
	Initial
	Development
	Mid
	Late
)

// String names the stage in the words of FAO-56.
func (s Stage) String() string {
	switch s {
	case Bare:
		return "bare"
	case Initial:
		return "initial"
	case Development:
		return "development"
	case Mid:
		return "mid-season"
	case Late:
		return "late season"
	}
	return "unknown"
}

// Lengths are the lengths of the four growth stages: days, or degree-days
// (°C d over Crop.GDDBaseC) where ByHeat is set. The zero Lengths is none.
type Lengths struct {
	Ini, Dev, Mid, Late float64
	ByHeat              bool
}

// Total is the length of all four stages.
func (l Lengths) Total() float64 { return l.Ini + l.Dev + l.Mid + l.Late }

// Crop is one crop with everything its season needs. All of it may be
// overridden; the zero Crop is not valid, start from [Lookup].
type Crop struct {
	Name string

	// Single crop coefficients (FAO-56 Table 12) and basal ones (Table 17) for
	// a sub-humid climate, RHmin 45 % and 2 m/s; the curve adjusts them.
	KcIni, KcMid, KcEnd    float64
	KcbIni, KcbMid, KcbEnd float64
	KcBare                 float64 // single coefficient of the ground before and after the crop
	// KcIniSet and KcBareSet: the caller knows the coefficient, and no
	// Season.Wetness is to take its place.
	KcIniSet, KcBareSet bool

	HeightM             float64 // greatest height, m (Table 12)
	RootMinM, RootMaxM  float64 // rooting depth at the start and at full cover, m (Table 22)
	P                   float64 // depletion fraction for no stress (Table 22)
	Ky                  float64 // seasonal yield response (Table 24); NaN if unknown
	Perennial           bool    // Season.Start is green-up, and without an end the stand lives on
	Lengths             Lengths // of the stages, from planting or green-up (Table 11)
	Recovery            Lengths // of the stages after a cut; zero for a crop that is not cut
	GDDBaseC, GDDUpperC float64 // temperatures between which the crop develops, for Lengths.ByHeat
	Sources             []Source
	Assumed             []string // what no publication gives: our assumptions, in plain words
}

// Source says where values of a Crop come from.
type Source struct {
	Values string // which values
	From   string // publication, table and row
}

// Check reports everything in c that cannot be drawn, one error for each
// value, joined; nil if nothing.
func (c Crop) Check() error {
	var errs []error
	bad := func(field string, got float64, want string) {
		errs = append(errs, fmt.Errorf("crop %s: %s: is %v; must be %s", c.Name, field, got, want))
	}
	within := func(field string, x, lo, hi float64) {
		if !(x >= lo && x <= hi) {
			bad(field, x, fmt.Sprintf("from %v to %v", lo, hi))
		}
	}
	for _, k := range []struct {
		name string
		x    float64
	}{
		{"Kc ini", c.KcIni}, {"Kc mid", c.KcMid}, {"Kc end", c.KcEnd}, {"Kc bare", c.KcBare},
		{"Kcb ini", c.KcbIni}, {"Kcb mid", c.KcbMid}, {"Kcb end", c.KcbEnd},
	} {
		within(k.name, k.x, 0, 1.5)
	}
	within("height in m", c.HeightM, 0.02, 10)
	within("smallest rooting depth in m", c.RootMinM, 0.05, 5)
	within("greatest rooting depth in m", c.RootMaxM, 0.05, 5)
	if c.RootMinM > c.RootMaxM {
		bad("smallest rooting depth in m", c.RootMinM, fmt.Sprintf("at most the greatest, %v", c.RootMaxM))
	}
	within("depletion fraction p", c.P, 0.1, 0.8)
	if !math.IsNaN(c.Ky) {
		within("yield response Ky", c.Ky, 0, 3)
	}
	for _, l := range []struct {
		name string
		l    Lengths
		need bool
	}{{"stage lengths", c.Lengths, true}, {"recovery lengths", c.Recovery, c.Recovery != Lengths{}}} {
		if !l.need {
			continue
		}
		most := 400.0 // days: a little over the longest season of a year
		if l.l.ByHeat {
			most = 10000
		}
		for i, x := range []float64{l.l.Ini, l.l.Dev, l.l.Mid, l.l.Late} {
			within(l.name+", "+(Stage(i)+Initial).String(), x, 0, most)
		}
		if !(l.l.Total() > 0) {
			bad(l.name+", total", l.l.Total(), "more than 0")
		}
		if l.l.ByHeat && !(c.GDDBaseC < c.GDDUpperC) {
			bad("degree-day base temperature in °C", c.GDDBaseC, fmt.Sprintf("under the upper one, %v", c.GDDUpperC))
		}
	}
	return errors.Join(errs...)
}
