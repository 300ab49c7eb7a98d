// A broken constraint in words.

package report

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// Violation is the first constraint that a plan breaks; text is in SI in JSON
// and in the display units in text.
type Violation struct {
	*runplan.Violation
	now   time.Time
	Place string // where the file has the pass or the leg; "" when it is not of a file
}

// NewViolation is nil for a plan that breaks none. now is the moment it was
// judged for.
func NewViolation(v *runplan.Violation, now time.Time) *Violation {
	if v == nil {
		return nil
	}
	return &Violation{Violation: v, now: now}
}

// MarshalJSON writes the constraint's name and where it is broken.
func (v *Violation) MarshalJSON() ([]byte, error) {
	type place struct {
		Constraint string  `json:"constraint"`
		Pass       *int    `json:"pass"` // counted from 1; null: of no single pass
		Leg        *int    `json:"leg"`
		Place      string  `json:"place"` // file:line:col
		Pivot      string  `json:"pivot"`
		Well       string  `json:"well"`
		At         Instant `json:"at"`
		Text       string  `json:"text"`
	}
	from1 := func(i int) *int {
		if i < 0 {
			return nil
		}
		i++
		return &i
	}
	at := Instant(v.At)
	return json.Marshal(place{v.Constraint.String(), from1(v.Pass), from1(v.Leg), v.Place, v.Pivot, v.Well, at, v.Text(units.SI)})
}

// Text says which constraint is broken, where and by how much.
func (v *Violation) Text(s units.System) string {
	at := momentText(v.At)
	who := v.Pivot
	if who == "" {
		who = v.Well
	}
	why := because(v.Why)
	if day, ok := strings.CutPrefix(v.Why, fields.DryForCut); ok {
		if cut, err := civil.ParseDate(day); err == nil {
			why = because("dry for the cut of " + dayText(cut))
		}
	}
	if v.Leg >= 0 {
		who = fmt.Sprintf("%s, leg %d", who, v.Leg+1)
	}
	hour := func(h float64) string { return momentText(v.now.Add(time.Duration(h * float64(time.Hour)))) }
	switch v.Constraint {
	case runplan.Busy:
		if v.Limit <= 0 {
			return fmt.Sprintf("machine busy: %s is to start %s, before the moment the plan is judged for, %s", who, at, hour(0))
		}
		return fmt.Sprintf("machine busy: %s is to start %s and is not free before %s", who, at, hour(v.Limit))
	case runplan.ArmElsewhere:
		return fmt.Sprintf("arm elsewhere: %s is to start %s at %s degrees; the arm then stands at %s", who, at, degText(v.Got), degText(v.Limit))
	case runplan.Direction:
		return fmt.Sprintf("direction: %s runs clockwise only", who)
	case runplan.LegCount:
		return fmt.Sprintf("leg count: %s, %s: %.0f legs; the panel holds 1 to %.0f", who, at, v.Got, v.Limit)
	case runplan.LegsApart:
		return fmt.Sprintf("legs apart: %s of the pass of %s begins at %s degrees; the arm then stands at %s", who, at, degText(v.Got), degText(v.Limit))
	case runplan.TimerRange:
		return fmt.Sprintf("timer range: %s of the pass of %s: timer %s %%; the limit is %s %%", who, at, timerText(v.Got), timerText(v.Limit))
	case runplan.Stops:
		return fmt.Sprintf("stops: %s of the pass of %s leaves the part circle", who, at)
	case runplan.PassDepth:
		return fmt.Sprintf("pass depth: %s, %s: %s in one pass; at most %s is allowed", who, at, units.Depth.Text(s, v.Got), units.Depth.Text(s, v.Limit))
	case runplan.BadPause:
		return fmt.Sprintf("pause: %s, %s: the pause lies outside its pass, or over another", who, at)
	case runplan.LongStand:
		return fmt.Sprintf("long stand: %s stands from %s for %.0f h%s; a pass stands for %.0f h at most, what is left is another pass", who, at, v.Got, why, v.Limit)
	case runplan.Horizon:
		return fmt.Sprintf("horizon: %s is not done before the last day looked at ends (%s); --days looks further", who, hour(v.Limit))
	case runplan.MachineNoRun:
		return fmt.Sprintf("machine no-run hours: %s, %s%s", who, at, why)
	case runplan.WellNoRun:
		return fmt.Sprintf("well no-run hours: %s, %s%s", who, at, why)
	case runplan.NoWaterTime:
		return fmt.Sprintf("no-water period: %s, %s%s", who, at, why)
	case runplan.WellFlow:
		by := ""
		if v.Why != "" {
			by = " by " + v.Why
		}
		return fmt.Sprintf("well flow: %s, %s: %s are drawn%s; it gives %s", v.Well, at, units.Flow.Text(s, v.Got), by, units.Flow.Text(s, v.Limit))
	case runplan.DailyHours:
		return fmt.Sprintf("daily hours: %s, %s: %.1f pumping hours; %.1f are allowed", who, dayTextOf(v.At), v.Got, v.Limit)
	case runplan.SeasonVolume:
		return fmt.Sprintf("season volume: %s: %s; %s are left of the season's limit", who, units.Volume.Text(s, v.Got), units.Volume.Text(s, v.Limit))
	}
	return v.Error()
}

func dayTextOf(t time.Time) string { return t.Format("Mon 2 Jan") }
