// The worked examples of FAO-56 chapters 6 and 7 that print to the digit.

package crop_test

import (
	"fmt"
	"math"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/crop"
)

// weather is n days from a date with one wind, one humidity and one
// temperature range.
func weather(from civil.Date, n int, u2, rhMin float64) []crop.Climate {
	rows := make([]crop.Climate, n)
	for i := range rows {
		rows[i] = crop.Climate{Date: from.AddDays(i), TmaxC: 28, TminC: 12, U2MPerS: u2, RHminPct: rhMin}
	}
	return rows
}

// bean is the dry bean at Kimberly of FAO-56 Box 15 and Examples 28 to 30,
// with the lengths that were seen there.
func bean() crop.Season {
	c, _ := crop.Lookup("dry bean")
	c.Lengths = crop.Lengths{Ini: 25, Dev: 25, Mid: 30, Late: 20}
	c.KcIni = 0.15
	return crop.Season{Crop: c, Start: civil.Date{Year: 1974, Month: time.May, Day: 22}}
}

// Example 27, p. 125: maize, 2 m high, at Taipei and at Mocha.
func ExampleClimateTerm_ex27() {
	fmt.Printf("Taipei %.2f, Mocha %.2f\n", 1.20+crop.ClimateTerm(1.3, 75, 2), 1.20+crop.ClimateTerm(4.6, 44, 2))
	// Output: Taipei 1.07, Mocha 1.30
}

// Example 28, p. 133, with Kc mid adjusted as in Box 15, p. 131.
func ExampleSeason_Days_ex28() {
	s := bean()
	days := s.Days(weather(s.Start, 100, 2.2, 30))
	for _, n := range []int{20, 40, 70, 95} {
		fmt.Printf("day %d, %s: Kc %.2f\n", n, days[n-1].Stage, days[n-1].Kc)
	}
	// Output:
	// day 20, initial: Kc 0.15
	// day 40, development: Kc 0.77
	// day 70, mid-season: Kc 1.19
	// day 95, late season: Kc 0.56
}

// Example 29, p. 136.
func ExampleSeason_Days_ex29() {
	s := bean()
	days := s.Days(weather(s.Start, 100, 2.2, 30))
	fmt.Printf("Kcb ini %.2f, mid %.2f, end %.2f\n", days[0].Kcb, days[60].Kcb, days[99].Kcb)
	// Output: Kcb ini 0.15, mid 1.14, end 0.25
}

// Example 30, p. 141, which goes on from the rounded Kcb mid of 1.14. Its fourth
// day, 90, is 0.695 and printed 0.70: see TestExample30.
func ExampleSeason_Days_ex30() {
	s := bean()
	s.Crop.KcbMid = 1.14
	days := s.Days(weather(s.Start, 100, math.NaN(), math.NaN()))
	for _, n := range []int{12, 37, 65} {
		fmt.Printf("day %d: Kcb %.2f\n", n, days[n-1].Kcb)
	}
	// Output:
	// day 12: Kcb 0.15
	// day 37: Kcb 0.63
	// day 65: Kcb 1.14
}

// Examples 32 to 34, p. 150: cotton, 1 m high, ETo 7 mm/day, right after
// sprinkling, after alternate furrows (fw 0.3), and under drip.
func ExampleKcMax_ex32() {
	cotton := crop.Day{Kcb: 0.9, HeightM: 1}
	kcMax := crop.KcMax(cotton, crop.Climate{U2MPerS: 3, RHminPct: 20})
	fc := crop.Cover(cotton, kcMax)
	fmt.Printf("Kc max %.2f, fc %.2f\n", kcMax, fc)
	ke := func(few float64) float64 { return min(kcMax-cotton.Kcb, few*kcMax) } // FAO-56 Eq. 71, Kr 1
	sprinkler, furrow, drip := ke(1-fc), ke(min(1-fc, 0.3)), ke(min(1-fc, 0.3*(1-2.0/3*fc)))
	fmt.Printf("Ke %.2f, %.2f, %.2f; Kc %.2f, %.2f, %.2f\n", sprinkler, furrow, drip,
		cotton.Kcb+sprinkler, cotton.Kcb+furrow, cotton.Kcb+drip)
	// Output:
	// Kc max 1.30, fc 0.53
	// Ke 0.40, 0.39, 0.25; Kc 1.30, 1.29, 1.15
}

// Example 26, p. 120, last step: 40 % of the ground wetted.
func ExampleFieldIrrigation_ex26() {
	f := crop.FieldIrrigation{DepthMM: 12, Wetted: 0.4}
	fmt.Printf("%.0f mm on the wetted ground; Kc ini %.2f\n", f.LocalMM(), f.KcIni(1.05))
	// Output: 30 mm on the wetted ground; Kc ini 0.42
}
