// Reasons in plain words, days and directions as a person says them.

package report

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/fields/whatif"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// Reason is why something is done or left. Its sentence is in SI in JSON and
// CSV and in the display units in text, so that the machine-readable forms do
// not change with --units.
type Reason struct {
	runplan.Reason
	today civil.Date
	seen  string // what was seen of the zone against it
}

// MarshalJSON writes the sentence, in SI.
func (r Reason) MarshalJSON() ([]byte, error) { return json.Marshal(r.Text(units.SI)) }

// MarshalCSV writes the sentence, in SI.
func (r Reason) MarshalCSV() (string, error) { return r.Text(units.SI), nil }

// Text is the sentence: no capital unless a name begins it, no full stop.
func (r Reason) Text(s units.System) string {
	if r.seen != "" {
		return r.unseen().Text(s) + "; at risk: " + r.seen
	}
	depletion := depletionWords(s, r.DepletionMM)
	trigger := units.Depth.Text(s, r.TriggerMM)
	zone := r.Zone
	if zone == "" {
		zone = "no zone"
	}
	switch r.Code {
	case runplan.NoReason:
		return ""
	case runplan.Due:
		return r.due(zone, depletion, trigger) + r.stress()
	case runplan.NotDue:
		return fmt.Sprintf("%s is not due: depletion %s, trigger %s", zone, depletion, trigger)
	case runplan.NoCrop:
		return fmt.Sprintf("no crop stands on %s: it has no trigger; depletion %s", zone, depletion)
	case runplan.TableFed:
		return fmt.Sprintf("%s is fed by the water table at %s: depletion %s, trigger %s",
			zone, units.Ground.Text(s, r.TableM), depletion, trigger)
	case runplan.RainComes:
		return fmt.Sprintf("%s can wait for rain: %s expected; depletion %s, trigger %s",
			zone, units.Depth.Text(s, r.RainMM), depletion, trigger)
	case runplan.DueLater:
		return "left for a later pass: " + r.due(zone, depletion, trigger)
	case runplan.Walk:
		return fmt.Sprintf("walked dry: %s does not need it", zone)
	case runplan.JoinLegs:
		return "not due, watered on the way: the panel holds no more legs"
	case runplan.WellBusy:
		return "the well serves " + r.Other + " first"
	case runplan.MachineBusy:
		return "the pass that is recorded ends first"
	case runplan.NoRunHours, runplan.NoWaterPeriod:
		if text := r.dryForCut(); text != "" {
			return text
		}
		if r.Code == runplan.NoWaterPeriod {
			return "no water on " + zone + " now" + because(r.Other)
		}
		if r.Other == whatif.Held {
			return "held, as you ask"
		}
		return "no-run hours" + because(r.Other)
	case runplan.SeasonLimit:
		return "the season's withdrawal limit is used up" + because(r.Other)
	case runplan.DailyLimit:
		return "the pumping hours allowed a day are used up" + because(r.Other)
	case runplan.FlowShort:
		return "it draws more than the well gives" + because(r.Other)
	case runplan.TooLate:
		return "no pass would be done before the plan's last day"
	case runplan.NoGround:
		return "no zone on the map lies under it"
	case runplan.CheaperHour:
		return "energy is cheaper then"
	case runplan.Early:
		return "started early, so that " + r.Other + " can follow in time"
	case runplan.DearerSooner:
		return "started sooner, the plan as a whole would cost no less"
	case runplan.AtRisk:
		return r.safe().Text(s) + "; at risk: " + r.risk(s)
	}
	return r.Code.String()
}

// Under is the reason as it is told under the name of a machine: a zone named after
// it is told by the rest of its name.
func (r Reason) Under(pivot string) Reason {
	r.Zone = ShortZone(r.Zone, pivot)
	return r
}

// ShortZone is a zone's name without its machine's, where it begins with that.
func ShortZone(zone, pivot string) string {
	if rest, ok := strings.CutPrefix(zone, pivot+" "); ok && rest != "" {
		return rest
	}
	return zone
}

// DayLater says what water a day later comes to on the ground that it is for.
func DayLater(cost Number, currency string) string {
	switch v := float64(cost); {
	case math.IsNaN(v):
		return "has no price: no crop value is set"
	case v >= 0.5:
		return "would cost " + units.Money(currency, v) + " on its ground, all else as planned"
	case v <= -0.5:
		return "would save " + units.Money(currency, -v) + " on its ground, all else as planned"
	}
	return "would cost less than " + units.Money(currency, 1) + " on its ground"
}

// Text says why a machine is not run, and what another day of that costs.
func (m *Idle) Text(s units.System, currency string) string {
	text := m.Why.Text(s)
	switch m.Why.Code {
	case runplan.NoGround, runplan.NoCrop, runplan.NoReason:
		return text
	}
	return text + m.Why.drives(text) + "; a day without its water " + DayLater(m.WaitCost, currency)
}

// drives names the ground behind a reason and its days, where text does not.
func (r Reason) drives(text string) string {
	if r.Zone == "" || strings.Contains(text, r.Zone) || !r.Date.IsValid() {
		return ""
	}
	return "; " + r.Zone + " is " + r.when() + r.stressBrief()
}

// unseen is the reason without what was seen.
func (r Reason) unseen() Reason {
	r.seen = ""
	return r
}

// dryForCut words a window that a cut makes; empty for any other.
func (r Reason) dryForCut() string {
	day, ok := strings.CutPrefix(r.Other, fields.DryForCut)
	cut, err := civil.ParseDate(day)
	if !ok || err != nil {
		return ""
	}
	if cut.After(r.today) {
		return "dry for the cut of " + dayText(cut)
	}
	return "mown " + dayText(cut) + ": dry for the cut, with hay and machines in the field"
}

// safe is the reason of ground at risk as the settings stand.
func (r Reason) safe() Reason {
	r.Code = r.Safe
	return r
}

// risk tells when ground that is skipped comes due after all, and if what.
func (r Reason) risk(s units.System) string {
	text := "due " + dayText(r.Date)
	if r.By == nil {
		return text
	}
	return text + " if " + endText(r.By, s)
}

// endText is one end of what is not known of the ground, after "if".
func endText(e *runplan.End, s units.System) string {
	switch e.Kind {
	case runplan.RootsAlone:
		return "no root stands in for another"
	case runplan.RootsJoined:
		return "wet roots stand in for all dry ones"
	case runplan.TableDeeper:
		return "the water table is " + units.Ground.Text(s, math.Abs(e.TableByM)) + " deeper"
	case runplan.TableHigher:
		return "the water table is " + units.Ground.Text(s, math.Abs(e.TableByM)) + " higher"
	case runplan.ReachShorter:
		return "the water table reaches only " + units.Ground.Text(s, e.ReachM)
	case runplan.ReachLonger:
		return "the water table reaches " + units.Ground.Text(s, e.ReachM)
	}
	return "the settings are as they stand"
}

// due tells when ground is due; of ground that is due already the day does not
// matter any more.
func (r Reason) due(zone, depletion, trigger string) string {
	now := ""
	switch {
	case r.On.IsValid():
		now = " on " + dayText(r.On)
	case r.Date.After(r.today):
		now = " now"
	}
	return fmt.Sprintf("%s is %s: depletion %s%s, trigger %s", zone, r.when(), depletion, now, trigger)
}

// stress tells when the ground is short of water if it gets none.
func (r Reason) stress() string {
	if r.StressDate == (civil.Date{}) || !r.StressDate.After(r.Date) {
		return ""
	}
	return "; short of water from " + dayText(r.StressDate)
}

func (r Reason) stressBrief() string {
	if r.stress() == "" {
		return ""
	}
	return "; stress from " + dayBrief(r.StressDate)
}

// Brief is the reason in a few words, for a row of a table, with depletion and
// trigger as two numbers.
func (r Reason) Brief(s units.System) string {
	numbers := fmt.Sprintf(", %s/%s", DepletionText(s, r.DepletionMM), units.Depth.Format(s, r.TriggerMM))
	switch r.Code {
	case runplan.Due:
		return r.Zone + " " + r.whenBrief() + numbers
	case runplan.NotDue:
		return r.Zone + " not due" + numbers
	case runplan.NoCrop:
		return r.Zone + " without a crop"
	case runplan.TableFed:
		return fmt.Sprintf("%s fed by table at %s%s", r.Zone, units.Ground.Text(s, r.TableM), numbers)
	case runplan.RainComes:
		return fmt.Sprintf("%s can wait for %s of rain%s", r.Zone, units.Depth.Text(s, r.RainMM), numbers)
	case runplan.DueLater:
		return "later pass: " + r.Zone + " " + r.whenBrief() + numbers
	case runplan.AtRisk:
		return r.safe().Brief(s)
	}
	return r.Text(s)
}

func (r Reason) whenBrief() string {
	if r.Date.After(r.today) {
		return "due " + dayBrief(r.Date)
	}
	return r.when()
}

// NotSooner is the sentence for a pass that does not start at once.
func (r Reason) NotSooner(s units.System) string {
	if r.Code == runplan.DueLater {
		return fmt.Sprintf("soon enough for %s, due %s", r.Zone, dayText(r.Date))
	}
	return r.Text(s)
}

// Short is the sentence for a row that already shows the zone and its numbers.
func (r Reason) Short(s units.System) string {
	if r.seen != "" {
		return r.unseen().Short(s) + "; AT RISK: " + r.seen
	}
	switch r.Code {
	case runplan.Due:
		return r.when() + r.stressBrief()
	case runplan.NotDue:
		return "not due in the days looked at"
	case runplan.NoCrop:
		return "no crop: no trigger"
	case runplan.TableFed:
		return "fed by the water table at " + units.Ground.Text(s, r.TableM)
	case runplan.RainComes:
		return "rain can save it: " + units.Depth.Text(s, r.RainMM) + " expected"
	case runplan.DueLater:
		return r.when() + ", left for a later pass" + r.stressBrief()
	case runplan.AtRisk:
		return r.safe().Short(s) + "; AT RISK: " + r.risk(s)
	}
	return r.Text(s)
}

func (r Reason) when() string {
	switch {
	case r.Date.After(r.today):
		return "due " + dayText(r.Date)
	case r.DepletionMM < r.TriggerMM:
		return "due today"
	}
	return "due now"
}

// because is ": why", or nothing.
func because(why string) string {
	if why == "" {
		return ""
	}
	return ": " + why
}

// dayText is "Fri 17 Jul".
func dayText(d civil.Date) string { return d.In(time.UTC).Format("Mon 2 Jan") }

// dayBrief is "Fri 17", for a row of a table of the days to come.
func dayBrief(d civil.Date) string { return d.In(time.UTC).Format("Mon 2") }

// dayYearText is "Fri 17 Jul 2026".
func dayYearText(d civil.Date) string { return d.In(time.UTC).Format("Mon 2 Jan 2006") }

// momentText is "Fri 17 Jul 14:00", to the minute.
func momentText(t time.Time) string { return t.Round(time.Minute).Format("Mon 2 Jan 15:04") }

// clockText is "Fri 14:00", within a pass whose date is told.
func clockText(t time.Time) string { return t.Round(time.Minute).Format("Mon 15:04") }

// untilText is the end of a stretch that begins at from: the day is left out
// when it is the same.
func untilText(from, to time.Time) string {
	if civil.DateOf(from) == civil.DateOf(to) {
		return to.Round(time.Minute).Format("15:04")
	}
	return momentText(to)
}

// degText is a direction in whole degrees, 0 to 359.
func degText(deg float64) string {
	if math.IsNaN(deg) || math.IsInf(deg, 0) {
		return "-"
	}
	d := math.Mod(math.Round(deg), 360)
	if d < 0 {
		d += 360
	}
	return strconv.Itoa(int(d))
}

// timerText is a timer as it is dialled: to the tenth, whole numbers without.
func timerText(pct float64) string {
	if math.IsNaN(pct) || math.IsInf(pct, 0) {
		return "-"
	}
	return strconv.FormatFloat(math.Round(10*pct)/10, 'f', -1, 64)
}

// daysText says how long ground lasts: "now" where no time is left, "under 1",
// "3 to 5", "over 9" for beyond the days looked at.
func daysText(least, most float64, horizon int) string {
	beyond := fmt.Sprintf("over %d", horizon)
	switch {
	case math.IsNaN(least) || math.IsNaN(most):
		return "-"
	case math.IsInf(least, 1):
		return beyond
	case math.IsInf(most, 1):
		return fmt.Sprintf("%.0f or more", math.Floor(least))
	}
	lo, hi := math.Floor(least), math.Floor(most)
	switch {
	case most <= 0:
		return "now"
	case hi < 1:
		return "under 1"
	case lo == hi:
		return fmt.Sprintf("%.0f", lo)
	}
	return fmt.Sprintf("%.0f to %.0f", lo, hi)
}

// count is "1 day" or "3 days".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// sentence gives text a capital and a full stop.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	r := []rune(text)
	return strings.ToUpper(string(r[:1])) + string(r[1:]) + "."
}
