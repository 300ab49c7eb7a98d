package report

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"sandwick/cmd/sandwick/internal/units"
)

// A farm of any size is told on one screen: the zones that stand worst, and how many
// there are beside them.
func TestStatusIsOneScreen(t *testing.T) {
	const screen = 60 // lines of a terminal as high as a laptop's
	for _, zones := range []int{1, 24, 25, 600} {
		s := &Status{Farm: "Long Row", Days: 10}
		for i := range zones {
			s.Zones = append(s.Zones, ZoneStatus{Zone: fmt.Sprintf("high %03d", i), Field: fmt.Sprintf("F%03d", i), Pivot: "P", Standing: standsSoon,
				DaysLeft: 6, DaysLeftMin: 3, DaysLeftMax: 8, DriestMM: 20, DriestTrigMM: 30})
		}
		var b bytes.Buffer
		if err := s.WriteText(&b, units.US); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		if n := strings.Count(text, "\n"); n > screen {
			t.Errorf("%d zones: %d lines\n%s", zones, n, text)
		}
		if more := fmt.Sprintf("and %s that stand better; --json has all", count(zones-24, "zone", "zones")); strings.Contains(text, more) != (zones > 24) {
			t.Errorf("%d zones:\n%s", zones, text)
		}
	}
}
