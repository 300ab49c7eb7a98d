// Effective rain: the part of the month's rain that a crop can use.

package books

import "math"

const (
	mmPerInch = 25.4 // NIST SP 811
	// The depths of application that TR-21's table covers, inches (from memory).
	leastStorageIn, mostStorageIn = 0.75, 7.5
	// meanMonth is the mean length of a month, days: a part of a month is taken to
	// go on as it went.
	meanMonth = 365.25 / 12
)

// EffectiveMM is the effective rain of so many days of a month, mm, by the
// equation of USDA-SCS Technical Release 21 (1967), as in the National
// Engineering Handbook 623 chapter 2; from memory:
//
//	Pe = SF (0.70917 Pt^0.82416 - 0.11556) 10^(0.02426 ETc)
//	SF = 0.531747 + 0.295164 D - 0.057697 D² + 0.003804 D³
//
// in inches a month, D the net depth of one application, which is held to 0.75
// to 7.5 inches. It is never below 0 nor above the rain or the crop's use. The
// equation is of whole months: rain and use of a part are first brought to a
// month of mean length. It knows nothing of the single storms nor of a water
// table; the daily balance does, and the two will differ.
func EffectiveMM(rainMM, etcMM, applicationMM float64, days int) float64 {
	if !(rainMM > 0) || !(etcMM > 0) || days < 1 {
		return 0
	}
	month := meanMonth / float64(days)
	if month < 1.1 {
		month = 1 // a whole month as it is
	}
	pt, etc := rainMM/mmPerInch*month, etcMM/mmPerInch*month
	d := min(max(applicationMM/mmPerInch, leastStorageIn), mostStorageIn)
	pe := storageFactor(d) * (0.70917*math.Pow(pt, 0.82416) - 0.11556) * math.Pow(10, 0.02426*etc) // TR-21, Pe
	return min(max(pe, 0), pt, etc) / month * mmPerInch
}

// storageFactor is TR-21's factor for the net depth of an application, inches.
func storageFactor(d float64) float64 {
	return 0.531747 + 0.295164*d - 0.057697*d*d + 0.003804*d*d*d // TR-21, SF
}
