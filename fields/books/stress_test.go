// Days of stress of a season worked by hand.

package books

import "testing"

// The farm of testdata/twelve.txtar with 50 of 80 mm gone at the start and no
// pass, worked outside the program with FAO-56: ETo as told in
// testdata/README.md, p = 0.5 + 0.04 (5 - ETc), Ks by Eq. 84 with the depletion
// after the day's rain.
//
//	        depletion  Ks     ETc - ET
//	26 May  50.0       1      0
//	27 May  51.7       0.924  0.157 mm  too little is missing to count
//	28 May  53.6       0.836  0.387 mm  stress
//	29 May  55.6       0.790  0.451 mm  stress
//	30 May  40 mm of rain; no stress after it
func TestStressByHand(t *testing.T) {
	b := keep(t, files(t,
		"farm.toml", "initial_depletion_pct = 25", "initial_depletion_pct = 62.5",
		"records/passes.csv", "", "pivot,start,end,from_deg,to_deg,direction,water\n"), "2025-06-07")
	long := &b.Fields[0]
	near(t, "days of stress", long.Season.StressM2Days/long.AreaM2, 2, 1e-9)
	near(t, "of them in May", long.Months[0].StressM2Days/long.AreaM2, 2, 1e-9)
	near(t, "ET, mm", 1000*long.Season.ETM3/long.AreaM2, 22.216081, 5e-7)
}
