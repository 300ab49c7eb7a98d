// What the ranges of days left go by, in words.
package main

import (
	"fmt"
	"math"
	"strings"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
)

// rangeNotes say which ends are run for the days left, and how wide they are:
// once for the roots, then for the zones of one plus-minus together.
func (v view) rangeNotes(season *fields.Season) []report.Note {
	type doubt struct {
		table, reach               float64
		tableAssumed, reachAssumed bool
	}
	var order []doubt
	zones := map[doubt][]string{}
	for z := range v.farm.Zones {
		u := season.Uncertainty(z)
		if !u.Within {
			continue
		}
		d := doubt{toTwoInches(u.TablePlusMinusM), toTwoInches(u.ReachPlusMinusM), u.TableAssumed, u.ReachAssumed}
		if len(zones[d]) == 0 {
			order = append(order, d)
		}
		zones[d] = append(zones[d], v.farm.Zones[z].Name)
	}
	notes := []report.Note{}
	if v.farm.Start.Layers > 1 {
		notes = append(notes, report.Plain(fmt.Sprintf("days left are run with wet roots giving up to %g times their share, and as a range from none standing in for another (1) to without limit (20)",
			v.farm.Start.Compensation)))
	}
	for _, d := range order {
		names := strings.Join(zones[d], ", ")
		notes = append(notes, func(s units.System) string {
			return fmt.Sprintf("days left are run with the water table %s deeper or higher (one standard error%s) and the reach %s shorter or longer (%s): %s",
				units.Ground.Text(s, d.table), orText(d.tableAssumed, ", half a foot of it assumed", ""), units.Ground.Text(s, d.reach),
				orText(d.reachAssumed, "assumed", "as farm.toml sets it"), names)
		})
	}
	return notes
}

// toTwoInches rounds a plus-minus: nobody knows one to the inch.
func toTwoInches(m float64) float64 { return math.Round(m/0.05) * 0.05 }

func orText(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}
