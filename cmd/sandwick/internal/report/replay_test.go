package report

import (
	"strings"
	"testing"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/fields/replay"
	"sandwick/pivot/runplan"
)

// Stress is told in days and in ET missed, alike for every way, and what
// priorities count for has its own column, so that a row adds up to its total.
func TestReplayText(t *testing.T) {
	account := func(way replay.Way, preference float64) replay.Account {
		return replay.Account{Way: way, Total: replay.Totals{
			AreaM2: 1e6, WaterM3: 100_000, StressDays: 2.6, DeficitMM: 3.4,
			Cost: runplan.Cost{Pumping: 100, Labour: 20, Stress: 30, Percolation: 40, Carry: 5, Preference: preference, Total: 195 + preference},
		}}
	}
	for _, c := range []struct {
		preference float64
		row, not   string
	}{
		{0, "  refill at trigger     $100     $20     $30    $0      $40    $5   $195\n", "priorities"},
		{7, "  refill at trigger     $100     $20     $30    $0      $40    $5          $7   $202\n", "total\n\n"},
	} {
		r := &replay.Replay{Farm: &fields.Farm{}, Accounts: []replay.Account{account(replay.Planned, 0), account(replay.Refill, c.preference)}}
		var b strings.Builder
		if err := NewReplay(r, nil, nil).WriteText(&b, units.SI); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(b.String(), c.row) || strings.Contains(b.String(), c.not) {
			t.Errorf("want %q and no %q in\n%s", c.row, c.not, b.String())
		}
		for _, want := range []string{"The crop went without 3.4 mm by the plan, 3.4 mm by refill.", "ET missed", "2.6"} {
			if !strings.Contains(strings.Join(strings.Fields(b.String()), " "), want) {
				t.Errorf("no %q in\n%s", want, b.String())
			}
		}
	}
}
