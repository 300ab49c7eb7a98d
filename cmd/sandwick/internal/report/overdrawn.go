// Water in the books that no well can have given.

package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/fields/records"

	"github.com/golang-sql/civil"
)

// OverdrawnNotes tell, well by well, how long the passes of a season have its
// machines draw more at once than it gives: the books have all of that water.
func OverdrawnNotes(season *fields.Season) []Note {
	type sum struct {
		well      string
		hours, m3 float64
		first     *records.Overdrawn
	}
	var sums []sum
	all := season.Farm.Records.Overdrawn
	for i := range all {
		o := &all[i]
		if day := civil.DateOf(o.From.In(season.Farm.Location)); day.Before(season.From) || !day.Before(season.From.AddDays(season.Days())) {
			continue
		}
		k := slices.IndexFunc(sums, func(s sum) bool { return s.well == o.Well })
		if k < 0 {
			k = len(sums)
			sums = append(sums, sum{well: o.Well, first: o})
		}
		sums[k].hours += o.To.Sub(o.From).Hours()
		sums[k].m3 += o.SurplusM3
	}
	slices.SortFunc(sums, func(a, b sum) int { return cmp.Or(cmp.Compare(b.m3, a.m3), strings.Compare(a.well, b.well)) })
	var notes []Note
	for _, s := range sums {
		notes = append(notes, func(u units.System) string {
			return fmt.Sprintf("%s: by the passes recorded its machines wanted more at once than it gives, for %.1f h in all, first %s from %s on; where hours × flow are used the books have %s too much: `sandwick check` tells the rows",
				s.well, s.hours, s.first.Names(), records.Clock(s.first.From, season.Farm.Location), units.Withdrawal.Text(u, s.m3))
		})
	}
	return notes
}
