// The curve through a season, against the worked examples of FAO-56.

package crop

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/golang-sql/civil"
)

// day is a date of 1974, the year of the dry bean of FAO-56 Box 15.
func day(month time.Month, d int) civil.Date { return civil.Date{Year: 1974, Month: month, Day: d} }

// weather is n days from a date with one wind and one humidity.
func weather(from civil.Date, n int, u2, rhMin float64) []Climate {
	rows := make([]Climate, n)
	for i := range rows {
		rows[i] = Climate{Date: from.AddDays(i), TmaxC: 28, TminC: 12, U2MPerS: u2, RHminPct: rhMin}
	}
	return rows
}

// kimberlyBean is the dry bean of FAO-56 Box 15 and Examples 28 to 30: the
// lengths are 25/25/30/20 days; wind 2.2 m/s and RHmin 30 % in mid-season.
func kimberlyBean() Season {
	bean, _ := Lookup("dry bean")
	bean.Lengths = Lengths{Ini: 25, Dev: 25, Mid: 30, Late: 20}
	bean.KcIni = 0.15
	return Season{Crop: bean, Start: day(time.May, 22)}
}

// FAO-56 Example 28, p. 133, and Box 15, p. 131: Kc of dry bean by Eq. 66 with
// Kc mid adjusted by Eq. 62.
func ExampleSeason_Days_ex28() {
	s := kimberlyBean()
	days := s.Days(weather(s.Start, 100, 2.2, 30))
	for _, n := range []int{20, 40, 70, 95} {
		fmt.Printf("day %d: Kc %.2f\n", n, days[n-1].Kc)
	}
	// Output:
	// day 20: Kc 0.15
	// day 40: Kc 0.77
	// day 70: Kc 1.19
	// day 95: Kc 0.56
}

var _ = math.NaN
var _ testing.TB
