// Values that are almost surely in another unit than they are named by, and slips
// of TOML.

package settings

import (
	"strings"
	"testing"
)

func TestDoubtedScale(t *testing.T) {
	for _, c := range []struct{ old, now, want string }{
		{"flow_gpm = 800", "flow_gpm = 80", "pivots.flow_gpm: is 1.11 gpm for each of the 72.1 acres of the whole circle, and machines have 2 to 15; are flow and length in the units they are named by? (got \"80\")"},
		{"length_ft = 1000", "length_m = 1000", "pivots.flow_gpm: is 1.03 gpm for each of the 776 acres of the whole circle, and machines have 2 to 15; are flow and length in the units they are named by? (got \"800\")"},
		{"hours_at_full_timer = ", "hours_at_full_timer = 61 # ", "pivots.hours_at_full_timer: is longer than machines take for a revolution at 100 percent, 60 hours at most; is it the time at another timer? (got \"61\")"},
		{"per_kwh = 0.1", "per_kwh = 10.1", "wells.energy.per_kwh: is more than 1 USD for a kilowatt-hour; in cents? (got \"10.1\")"},
		{"flow_gpm = 1000", "flow_m3h = 1000", "wells.flow_m3h: is 5.5 times what all machines of well A draw together, 181.7 m³/h; is it in the unit it is named by? (got \"1000\")"},
	} {
		if !strings.Contains(whole, c.old) {
			t.Fatalf("no %q in the file", c.old)
		}
		_, _, doubts := Read(File, []byte(strings.Replace(whole, c.old, c.now, 1)))
		if !strings.Contains(doubts.Error()+"\n", ": "+c.want+"\n") {
			t.Errorf("%s:\ndoubts\n%v\nwant\n%s", c.now, doubts, c.want)
		}
	}
}

func TestSlipsOfTOML(t *testing.T) {
	for _, c := range []struct{ old, now, want string }{
		{"length_ft = 1000", "length_ft = 1,000", "; no comma goes in a number: write 1000"},
		{"length_ft = 1000", "length_ft = 1,000.5 # to the last nozzle", "; no comma goes in a number: write 1000.5"},
		{`name = "F"`, "name = \u201cF\u201d", `; use straight quotation marks, "like this"`},
		{"center = [", "center = [44.5, -89.6] # [", "; longitude goes first: may the two be swapped?"},
	} {
		if !strings.Contains(whole, c.old) {
			t.Fatalf("no %q in the file", c.old)
		}
		_, problems, _ := Read(File, []byte(strings.Replace(whole, c.old, c.now, 1)))
		if len(problems) != 1 || !strings.HasSuffix(problems[0].Msg, c.want) {
			t.Errorf("%s: %v; want …%s", c.now, problems, c.want)
		}
	}
}

// A name may be written in other letter case.
func TestNamesInAnyCase(t *testing.T) {
	s, problems, _ := Read(File, []byte(strings.Replace(strings.Replace(whole, `crop = "my mint"`, `crop = "My Mint"`, 1), `pivot = "P"`, `pivot = "p"`, 1)))
	if len(problems) > 0 || s.Fields[0].Pivot != "P" || s.Fields[0].CropName != "my mint" {
		t.Errorf("%v %+v", problems, s)
	}
}
