// A broken constraint in words.

package report

import (
	"encoding/json"
	"fmt"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot/runplan"
)

// Violation is the first constraint that a plan breaks; text is in SI in JSON
// and in the display units in text.
type Violation struct {
	*runplan.Violation
	now time.Time
}

// NewViolation is nil for a plan that breaks none. now is the moment it was
// judged for.
func NewViolation(v *runplan.Violation, now time.Time) *Violation {
	if v == nil {
		return nil
	}
	return &Violation{v, now}
}

// MarshalJSON writes the constraint's name and where it is broken.
func (v *Violation) MarshalJSON() ([]byte, error) {
	type place struct {
		Constraint string  `json:"constraint"`
		Pass       *int    `json:"pass"` // counted from 1; null: of no single pass
		Leg        *int    `json:"leg"`
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
	return json.Marshal(place{v.Constraint.String(), from1(v.Pass), from1(v.Leg), v.Pivot, v.Well, at, v.Text(units.SI)})
}

// Text says which constraint is broken, where and by how much.
func (v *Violation) Text(s units.System) string {
	at := momentText(v.At)
	who := v.Pivot
	if who == "" {
		who = v.Well
	}
	if v.Leg >= 0 {
		who = fmt.Sprintf("%s, leg %d", who, v.Leg+1)
	}
	hour := func(h float64) string { return momentText(v.now.Add(time.Duration(h * float64(time.Hour)))) }
	switch v.Constraint {
	case runplan.Busy:
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
	case runplan.Horizon:
		return fmt.Sprintf("horizon: %s is not done before the last day looked at ends (%s); --days looks further", who, hour(v.Limit))
	case runplan.MachineNoRun:
		return fmt.Sprintf("machine no-run hours: %s, %s%s", who, at, because(v.Why))
	case runplan.WellNoRun:
		return fmt.Sprintf("well no-run hours: %s, %s%s", who, at, because(v.Why))
	case runplan.NoWaterTime:
		return fmt.Sprintf("no-water period: %s, %s%s", who, at, because(v.Why))
	case runplan.WellFlow:
		return fmt.Sprintf("well flow: %s, %s: %s are drawn; it gives %s", who, at, units.Flow.Text(s, v.Got), units.Flow.Text(s, v.Limit))
	case runplan.DailyHours:
		return fmt.Sprintf("daily hours: %s, %s: %.1f pumping hours; %.1f are allowed", who, dayTextOf(v.At), v.Got, v.Limit)
	case runplan.SeasonVolume:
		return fmt.Sprintf("season volume: %s: %s; %s are left of the season's limit", who, units.Volume.Text(s, v.Got), units.Volume.Text(s, v.Limit))
	}
	return v.Error()
}

func dayTextOf(t time.Time) string { return t.Format("Mon 2 Jan") }
