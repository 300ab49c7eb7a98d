// The words of this package for other forms of the same answer: a page says a
// day, a direction or a timer as the table does.

package report

import (
	"time"

	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// DayText is "Fri 17 Jul".
func DayText(d civil.Date) string { return dayText(d) }

// DayYearText is "Fri 17 Jul 2026".
func DayYearText(d civil.Date) string { return dayYearText(d) }

// MomentText is "Fri 17 Jul 14:00", to the minute.
func MomentText(t time.Time) string { return momentText(t) }

// ClockText is "Fri 14:00", within a pass whose date is told.
func ClockText(t time.Time) string { return clockText(t) }

// UntilText is the end of a stretch: its day is left out where it is that of the start.
func UntilText(from, to time.Time) string { return untilText(from, to) }

// DegText is a direction in whole degrees, 0 to 359; "-" where there is none.
func DegText(deg float64) string { return degText(deg) }

// TimerText is a timer in percent as it is dialled.
func TimerText(pct float64) string { return timerText(pct) }

// DaysText says how long ground lasts within a horizon of so many days.
func DaysText(least, most float64, horizon int) string { return daysText(least, most, horizon) }

// Sentence gives text a capital and a full stop.
func Sentence(text string) string { return sentence(text) }

// Because is ": why", or nothing.
func Because(why string) string { return because(why) }

// Soon tells whether a pass starts today or tomorrow: later ones will be decided
// again.
func (p *Plan) Soon(pass *Pass) bool { return p.startsSoon(pass) }

// WeatherText says how far the plan looks and how far its weather reaches.
func (p *Plan) WeatherText() string { return p.weatherText() }

// Horizon is the number of days that the plan looks at.
func (p *Plan) Horizon() int { return p.horizon() }

// Cautions travel with every plan, in every form.
func Cautions() []string { return cautions[:] }

// RestsText is what the plan leans on, a line each.
func (p *Plan) RestsText(s units.System) []string { return p.restsText(s) }

// CostTerm is one part of a plan's cost.
type CostTerm struct {
	Name  string
	Value Number
}

// Terms are the parts of the cost by the names that a person reads.
func (c *Cost) Terms() []CostTerm {
	return []CostTerm{
		{"pumping", c.Pumping}, {"starts", c.Labour}, {"crop lost to stress", c.Stress}, {"late ground", c.Late},
		{"nitrogen leached", c.Percolation}, {"water still owed at the end", c.Carry}, {"priorities", c.Preference},
	}
}

// Text says what happens on the ground of a well if no rain falls.
func (w *PumpOutlook) Text(s units.System) string { return w.text(s) }

// DryText is how long it has been dry, and what counts as rain, as it goes on
// after "the spell".
func (o *Outlook) DryText(s units.System) string { return o.dryText(s) }

// YearsText names the earlier years behind the outlook.
func (o *Outlook) YearsText() string { return o.yearsText() }

// Signed is money with its sign, in whole units.
func Signed(currency string, v float64) string { return signed(currency, v) }
