package fields

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/golang-sql/civil"
)

// The day that farm.toml pins is doubted as soon as a record has passed it, in a
// file of a few rows and in one of many years.
func TestPinnedDayPassedInALargeFile(t *testing.T) {
	var long strings.Builder
	for day := (civil.Date{Year: 1950, Month: time.January, Day: 1}); long.Len() < 2*(headerBytes+newestBytes); day = day.AddDays(1) {
		fmt.Fprintf(&long, "%s,Round,1,\n", day)
	}
	for what, rows := range map[string]string{"few": "", "many": long.String()} {
		for day, passed := range map[string]bool{"2025-06-08": false, "2025-06-09": true} {
			dir := smallDir(t, "farm.toml", "[site]", "today = 2025-06-08\n[site]",
				"records/rain.csv", "2025-06-06,Wheel", rows+"2025-06-06,Wheel", "records/rain.csv", "2025-06-06,Wheel", day+",Round,2,\n2025-06-06,Wheel")
			r, problems := OpenRecording(dir)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			if got := len(r.Pinned) > 0; got != passed {
				t.Errorf("%s rows, through %s: %v", what, day, r.Pinned)
			}
		}
	}
}
