package report

import (
	"math"
	"testing"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot/runplan"
)

// What makes a range is told in words, and a single number needs none.
func TestGoverns(t *testing.T) {
	inf := math.Inf(1)
	ends := []runplan.End{
		{Kind: runplan.RootsAlone, Compensation: 1, ReachM: 0.9},
		{Kind: runplan.TableDeeper, TableByM: 0.1524, ReachM: 0.9},
		{Kind: runplan.TableHigher, TableByM: -0.1524, ReachM: 0.9},
		{Kind: runplan.ReachShorter, ReachM: 0.6096},
	}
	for _, c := range []struct {
		name     string
		asSet    float64
		ends     []float64
		min, max runplan.EndKind
		want     string
	}{
		{"both sides", 3.4, []float64{3.4, 2.2, inf, 2.9}, runplan.TableDeeper, runplan.TableHigher,
			"3 days as farm.toml has it; 2 days if the water table is 0.5 ft deeper; over 10 days if the water table is 0.5 ft higher"},
		{"one side", 1.5, []float64{0.4, 1.5, 1.5, 1.5}, runplan.RootsAlone, runplan.AsSet,
			"1 day as farm.toml has it; less than a day if no root stands in for another"},
		{"a side that rounds to the same", 1.9, []float64{1.9, 1.9, 2.1, 1.2}, runplan.ReachShorter, runplan.TableHigher,
			"1 day as farm.toml has it; 2 days if the water table is 0.5 ft higher"},
		{"one number", 1.9, []float64{1.9, 1.9, 1.9, 1.1}, runplan.ReachShorter, runplan.AsSet, ""},
		{"safe at every end", inf, []float64{inf, inf, inf, inf}, runplan.AsSet, runplan.AsSet, ""},
		{"safe as set", inf, []float64{inf, inf, inf, 4.5}, runplan.ReachShorter, runplan.AsSet,
			"over 10 days as farm.toml has it; 4 days if the water table reaches only 2.0 ft"},
	} {
		least, most := c.asSet, c.asSet
		for _, d := range c.ends {
			least, most = min(least, d), max(most, d)
		}
		due := runplan.Span{AsSet: c.asSet, Min: least, Max: most, Ends: c.ends, MinBy: c.min, MaxBy: c.max}
		z := ZoneDecision{
			DaysLeft: Number(c.asSet), DaysLeftMin: Number(least), DaysLeftMax: Number(most),
			LeftMinBy: c.min.String(), LeftMaxBy: c.max.String(), Ends: newEnds(&due, ends),
		}
		if got := z.lasts().governs(units.US, 10); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
