// How long ground lasts, as a range over what is not known of it.

package report

import (
	"fmt"
	"math"
	"strings"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot/runplan"
)

// End is one end of what is not known.
type End struct {
	End          string `json:"end"`
	Days         Number `json:"days_left"` // null: beyond the days looked at
	Compensation Number `json:"compensation"`
	TableByM     Number `json:"water_table_by_m"` // deeper by; negative is higher
	ReachM       Number `json:"reach_m"`

	end *runplan.End
}

// newEnds puts what was run under each end into the form in which it is written.
func newEnds(due *runplan.Span, ends []runplan.End) []End {
	out := []End{}
	for i := range min(len(ends), len(due.Ends)) {
		e := &ends[i]
		out = append(out, End{e.Kind.String(), Number(due.Ends[i]), Number(e.Compensation), Number(e.TableByM), Number(e.ReachM), e})
	}
	return out
}

// endsOf are the ends of a zone of a problem.
func endsOf(problem *runplan.Problem, machine, zone string) []runplan.End {
	for i := range problem.Machines {
		for z := range problem.Machines[i].Zones {
			if o := &problem.Machines[i].Zones[z]; problem.Machines[i].Name == machine && o.Name == zone {
				return o.Ends
			}
		}
	}
	return nil
}

// lasts is how many days a zone has left.
type lasts struct {
	asSet, least, most Number
	leastBy, mostBy    string
	ends               []End
}

// governs says which ends make the range; nothing where it is one number.
func (l lasts) governs(s units.System, horizon int) string {
	least, most := float64(l.least), float64(l.most)
	if daysText(least, least, horizon) == daysText(most, most, horizon) {
		return ""
	}
	text := wholeDays(float64(l.asSet), horizon) + " as farm.toml has it"
	for _, by := range [...]string{l.leastBy, l.mostBy} {
		for _, e := range l.ends {
			if e.End == by && wholeDays(float64(e.Days), horizon) != wholeDays(float64(l.asSet), horizon) {
				text += fmt.Sprintf("; %s if %s", wholeDays(float64(e.Days), horizon), endText(e.end, s))
			}
		}
	}
	return text
}

func (z *ZoneDecision) lasts() lasts {
	return lasts{z.DaysLeft, z.DaysLeftMin, z.DaysLeftMax, z.LeftMinBy, z.LeftMaxBy, z.Ends}
}

func (z *ZoneStatus) lasts() lasts {
	return lasts{z.DaysLeft, z.DaysLeftMin, z.DaysLeftMax, z.LeftMinBy, z.LeftMaxBy, z.Ends}
}

// writeGoverns lists what makes the days of zones a range.
func writeGoverns(b *strings.Builder, lines []string) {
	writeList(b, "DAYS that depend on what is not known of the ground", lines)
}

// wholeDays is "3 days", "less than a day" or "over 10 days".
func wholeDays(days float64, horizon int) string {
	switch {
	case math.IsInf(days, 1):
		return fmt.Sprintf("over %d days", horizon)
	case days <= 0:
		return "none left"
	case days < 1:
		return "less than a day"
	}
	return count(int(days), "day", "days")
}
