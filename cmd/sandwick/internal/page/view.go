// The page as its template wants it: words and drawings.

package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

// view is one page in the making.
type view struct {
	s   units.System
	now time.Time
	a   *Args

	Frame        *Frame
	Style        template.CSS
	Policy       string
	Title, Head  string
	Farm, When   string
	Ahead        string   // what the days ahead are
	Alerts       []string // to be known before anything else
	Resting      string   // how far the weather reaches
	Patterns     template.HTML
	Legend       []legendItem
	Units        unitNames
	Actions      []action
	Care         string    // what to mind where something is to run
	Worst        []zoneRow // zones of a status, the worst first
	MoreWorst    int       // left out
	Pivots       []sheet
	Wells        []drawn
	HoursFrom    string
	Weather      template.HTML
	WeatherTitle string
	Dry          *drySpell
	Rainfed      []soilPlot
	Costs        []bar
	CostTotal    string
	CostTo       string
	Uses         []use
	Rests, Notes []string
	MoreNotes    int
	Cautions     []string
	Ledger       *ledger
}

type unitNames struct{ Depth, Ground, Volume, Season, Hours, Temp, Mass, Yield, PerWater string }

// action is one line of the front sheet: what to do with one machine.
type action struct {
	Pivot, ID, Verb, When, What, Why string
	Go                               bool
}

// sheet is one machine.
type sheet struct {
	ID, Name, Well, Crops string
	Circle                template.HTML
	Verb, Start, Way      string
	Go                    bool
	Facts                 []fact
	Why                   []string
	Legs                  []leg
	Then                  []string
	Cuts                  []string
	Later                 []later
	Zones                 []zoneRow
	Decided               string // what the decisions on zones are called; empty: there are none
	Soil                  []soilPlot
	Behind                string
	Care                  string // what to mind before it is started
	Notes                 []string
	Dense                 string // classes: how it is printed
}

type fact struct{ Name, Value string }

type leg struct {
	N                                     int
	From, To, Timer, Depth, Begins, Takes string
	Wet                                   bool
	Why                                   string
}

type later struct{ Begins, Way, Pumps, Volume, Why string }

type zoneRow struct{ Name, Do, Depletion, Trigger, Days, Table, Why string }

type soilPlot struct {
	Name, Numbers string
	Drawing       template.HTML
}

type drawn struct {
	Name    string
	Note    string
	Drawing template.HTML
}

type bar struct {
	Name, Value string
	Drawing     template.HTML
}

type use struct {
	Well, Taken, Hours, Planned, Limit, Left, Cost string
	Drawing                                        template.HTML
}

// The most of a list of remarks that is set; --json has them all.
const mostNotes = 12

func newView(a *Args) *view {
	v := &view{s: a.Units, now: a.Now, a: a, Frame: a.Frame,
		Style: template.CSS(style), Policy: Policy(), // our own text, built in
		Farm: a.Farm, Title: [...]string{"run plan", "status", "water books"}[a.Kind],
		When:     report.DayYearText(civil.DateOf(a.Now)) + ", " + a.Now.Format("15:04"),
		Patterns: patterns(), Legend: legend(),
		Cautions: report.Cautions(),
	}
	v.Units = unitNames{units.Depth.Unit(v.s), units.Ground.Unit(v.s), units.Volume.Unit(v.s), units.Withdrawal.Unit(v.s), units.Hours.Unit(v.s), units.Temperature.Unit(v.s),
		units.Mass.Unit(v.s), units.Yield.Unit(v.s), units.PerWater.Unit(v.s)}
	v.Head = report.Sentence(v.Title)
	v.Head = v.Head[:len(v.Head)-1]
	switch a.Kind {
	case Standing:
		v.Ahead = aheadWords(a.Kind)
	case WaterBook:
		if a.Season != nil {
			v.When = "the season to " + report.DayYearText(civil.Date(a.Season.To))
		}
	}
	notes := report.Texts(a.Notes, v.s)
	if p := a.Plan; p != nil {
		v.Ahead = aheadWords(a.Kind)
		v.Resting, v.Alerts = p.WeatherText(), p.Alerts
		v.Rests = p.RestsText(v.s)
		notes = append(notes, report.Texts(p.Warnings, v.s)...)
		v.costs(p)
	}
	if st := a.Status; st != nil {
		v.Alerts = st.Alerts
		notes = append(notes, report.Texts(st.Warnings, v.s)...)
	}
	if s := a.Season; s != nil {
		notes = append(notes, report.Texts(s.Warnings, v.s)...)
		v.season(s)
	}
	onSheet := map[string]bool{}
	for i := range a.Pivots {
		sh := v.sheet(i, &a.Pivots[i], notes)
		for _, n := range sh.Notes {
			onSheet[n] = true
		}
		v.Pivots = append(v.Pivots, sh)
	}
	for _, n := range notes {
		switch {
		case onSheet[n]:
		case len(v.Notes) < mostNotes:
			v.Notes = append(v.Notes, n)
		default:
			v.MoreNotes++
		}
	}
	v.books()
	v.Worst, v.MoreWorst = v.worst()
	for _, x := range v.Actions {
		if a.Plan != nil && x.Verb != verbStill {
			v.Care = frontCare
		}
	}
	return v
}

// aheadWords says what the days ahead on a plot of soil water are.
func aheadWords(k Kind) string {
	if k == Standing {
		return "days ahead, if nothing is run"
	}
	return "days ahead, as planned"
}

// books fills what is not of one pivot.
func (v *view) books() {
	a := v.a
	if p := a.Plan; p != nil {
		first := civil.Date(p.From)
		v.HoursFrom = fmt.Sprintf("%s to %s", report.DayText(first), report.DayText(civil.Date(p.To)))
		for i := range a.Wells {
			w := &a.Wells[i]
			d := drawn{Name: w.Name, Drawing: v.hours(w, first, p.Horizon())}
			whys := []string{}
			for _, s := range w.NoRun {
				if len(whys) == 0 || whys[len(whys)-1] != s.Why {
					whys = append(whys, s.Why)
				}
			}
			if len(whys) > 0 {
				d.Note = "hatched: " + strings.Join(whys, ", ")
			}
			v.Wells = append(v.Wells, d)
		}
	}
	if n := len(a.Weather); n > 0 {
		v.Weather = v.weather(a.Weather)
		v.WeatherTitle = fmt.Sprintf("Weather, %s to %s", report.DayText(a.Weather[0].Date), report.DayText(a.Weather[n-1].Date))
	}
	if a.Outlook != nil {
		v.Dry = v.drySpell(a.Outlook)
	}
	for i := range a.Rainfed {
		v.Rainfed = append(v.Rainfed, v.plot(&a.Rainfed[i], ""))
	}
	v.uses()
}

func (v *view) sheet(i int, m *Pivot, notes []string) sheet {
	id := fmt.Sprintf("p%d", i+1)
	sh := sheet{ID: id, Name: m.Machine.Name, Well: m.Machine.Well, Verb: "PARKED"}
	crops := []string{}
	for _, c := range m.Crops {
		text := c.Field + ", " + c.Crop
		if c.Stage != "" {
			text += ", " + c.Stage
		}
		crops = append(crops, text)
		if c.Cut.IsValid() && !c.LastWater.IsZero() {
			sh.Cuts = append(sh.Cuts, fmt.Sprintf("%s: cut planned %s. Last water before %s (%s dry).", c.Field, report.DayText(c.Cut),
				report.MomentText(c.LastWater), plural(c.DryDays, "day", "days")))
		}
	}
	sh.Crops = strings.Join(crops, "; ")
	var shown *report.Pass
	if v.a.Plan != nil {
		shown = v.card(&sh, m)
		sh.Decided = "do"
	} else {
		v.parked(&sh, m)
		if v.a.Status != nil {
			sh.Decided = "stands"
		}
	}
	sh.Circle = v.circle("c-"+id, m, shown)
	for z := range m.Zones {
		sh.Zones = append(sh.Zones, v.zoneRow(&m.Zones[z], m.Machine.Name))
		sh.Soil = append(sh.Soil, v.plot(&m.Zones[z], m.Machine.Name))
	}
	for _, n := range notes {
		if concerns(n, m) {
			sh.Notes = append(sh.Notes, n)
		}
	}
	sh.Dense = sh.fit()
	if sh.still() {
		sh.Dense += " still"
	}
	return sh
}

// concerns tells whether a remark begins with the name of a machine or of one of
// its zones.
func concerns(note string, m *Pivot) bool {
	names := []string{m.Machine.Name}
	for i := range m.Zones {
		names = append(names, m.Zones[i].Name)
	}
	for _, n := range names {
		if strings.HasPrefix(note, n+" ") || strings.HasPrefix(note, n+":") {
			return true
		}
	}
	return false
}

func (v *view) parked(sh *sheet, m *Pivot) {
	sh.Start = "arm at " + report.DegText(float64(m.Arm)) + "°"
	if !m.BusyTo.IsZero() {
		sh.Verb, sh.Go = "RUNNING", true
		sh.Start = "until " + report.MomentText(m.BusyTo)
		sh.Way = "now at " + report.DegText(float64(m.Arm)) + "°, ends at " + report.DegText(float64(m.Stop)) + "°"
	}
	what := sh.Way
	if st := v.a.Status; st != nil { // its zones are told worst first
		list := []string{}
		for i := range st.Zones {
			if z := &st.Zones[i]; z.Pivot == sh.Name {
				list = append(list, report.ShortZone(z.Zone, sh.Name)+" "+z.Standing)
			}
		}
		what = strings.Join(list, ", ")
		if what != "" {
			sh.Why = append(sh.Why, report.Sentence(what))
		}
	}
	if v.a.Season == nil {
		v.Actions = append(v.Actions, action{Pivot: sh.Name, ID: sh.ID, Verb: sh.Verb, When: sh.Start, What: what, Go: sh.Go})
		return
	}
	sh.Verb = ""
	for i := range v.a.Season.Fields {
		f := &v.a.Season.Fields[i]
		if f.Pivot != sh.Name {
			continue
		}
		sh.Why = append(sh.Why, fmt.Sprintf("%s: %s withdrawn in %s of pumping, %s; %s net irrigation, %s rain.", f.Field,
			units.Withdrawal.Text(v.s, float64(f.Season.M3)), units.Hours.Text(v.s, float64(f.Season.PumpHours)),
			units.Money(v.a.Currency, float64(f.Season.Cost)), units.Depth.Text(v.s, float64(f.Season.NetMM)), units.Depth.Text(v.s, float64(f.Season.RainMM))))
	}
}

// card fills the run card of a machine and the line of it on the front sheet; it
// gives the pass that the map shows, nil for none.
func (v *view) card(sh *sheet, m *Pivot) *report.Pass {
	p := v.a.Plan
	var first *report.Pass
	for i := range p.Passes {
		pass := &p.Passes[i]
		if pass.Pivot != sh.Name {
			continue
		}
		switch {
		case first == nil:
			first = pass
		case p.Soon(pass):
			sh.Then = append(sh.Then, fmt.Sprintf("%s, %s; %s, %s. Done %s.", report.MomentText(time.Time(pass.Start)), way(pass),
				units.Hours.Text(v.s, float64(pass.PumpHours)), units.Volume.Text(v.s, float64(pass.VolumeM3)), report.MomentText(time.Time(pass.End))))
		default:
			sh.Later = append(sh.Later, later{report.MomentText(time.Time(pass.Start)), short(pass),
				units.Hours.Format(v.s, float64(pass.PumpHours)), units.Volume.Format(v.s, float64(pass.VolumeM3)), pass.Why.Brief(v.s)})
		}
	}
	behind := []string{}
	for _, b := range p.Behind {
		if b.Pivot == sh.Name && b.WorstMM >= 1 { // less can be seen by no probe
			behind = append(behind, fmt.Sprintf("%s from %s on, by up to %s on %s", report.ShortZone(b.Zone, sh.Name), report.MomentText(time.Time(b.From)),
				units.Depth.Text(v.s, float64(b.WorstMM)), units.Area.Text(v.s, float64(b.AreaM2))))
		}
	}
	if len(behind) > 0 {
		sh.Behind = "Past the trigger before it can be reached: " + strings.Join(behind, "; ") + "."
	}
	if !m.BusyTo.IsZero() {
		sh.Why = append(sh.Why, fmt.Sprintf("Now running, at %s°: until %s, to %s°.", report.DegText(float64(m.Arm)), report.MomentText(m.BusyTo), report.DegText(float64(m.Stop))))
	}
	if first == nil {
		sh.Verb, sh.Start = verbStill, "through "+report.DayText(civil.Date(p.To))
		for _, idle := range p.Idle {
			if idle.Pivot == sh.Name {
				sh.Why = append(sh.Why, report.Sentence(idle.Text(v.s, p.Cost.Currency)))
			}
		}
		v.act(sh, sh.Start, "", strings.Join(sh.Why, " "))
		return nil
	}
	start, end := time.Time(first.Start), time.Time(first.End)
	if text := first.Why.Text(v.s); text != "" {
		sh.Why = append(sh.Why, report.Sentence(text)+" A day later "+report.DayLater(first.WaitCost, p.Cost.Currency)+".")
	}
	if text := first.Wait.NotSooner(v.s); text != "" {
		sh.Why = append(sh.Why, "Not sooner: "+text+".")
	}
	for _, pause := range first.Pauses {
		from, to := time.Time(pause.From), time.Time(pause.To)
		sh.Why = append(sh.Why, fmt.Sprintf("Stands still %s to %s%s.", report.MomentText(from), report.UntilText(from, to), report.Because(pause.Why)))
	}
	sh.Start, sh.Way = report.MomentText(start), way(first)
	sh.Facts = []fact{
		{"stop", report.MomentText(end) + " at " + report.DegText(float64(first.StopDeg)) + "°"},
		{"pumps", units.Hours.Text(v.s, float64(first.PumpHours))},
		{"water", units.Volume.Text(v.s, float64(first.VolumeM3))},
		{"costs", units.Money(p.Cost.Currency, float64(first.Cost))},
	}
	sh.Care = care
	sh.Verb, sh.Go = "START", true
	what := fmt.Sprintf("%s; %s, %s; stop %s", sh.Way, sh.Facts[1].Value, sh.Facts[2].Value, report.MomentText(end))
	why := first.Why.Text(v.s)
	if !p.Soon(first) {
		sh.Verb, sh.Go = "NOT BEFORE", false
		why = first.Wait.NotSooner(v.s)
		if why == "" {
			why = first.Why.Text(v.s)
		}
	}
	for k := range first.Legs {
		sh.Legs = append(sh.Legs, v.leg(k, &first.Legs[k], sh.Name))
	}
	v.act(sh, sh.Start, what, report.Sentence(why))
	return first
}

// worst are the zones of a status for its front sheet, in the order of the answer:
// the worst first.
func (v *view) worst() (rows []zoneRow, more int) {
	if v.a.Status == nil {
		return nil, 0
	}
	for i := range v.a.Status.Zones {
		if i == mostWorst && len(v.a.Status.Zones) > mostWorst+1 {
			return rows, len(v.a.Status.Zones) - mostWorst
		}
		z := &v.a.Status.Zones[i]
		row := v.zoneRow(&Zone{Name: z.Zone, TableM: float64(z.TableM)}, "")
		row.Why = ""
		rows = append(rows, row)
	}
	return rows, 0
}

// verbStill is the decision for a machine that is not to run.
const verbStill = "DO NOT RUN"

// mostWorst is how many zones a front sheet names: a screen of them.
const mostWorst = 14

// frontCare stands on the front sheet where something is to run.
const frontCare = "Walk the path; keep people, animals and vehicles clear. Not in lightning, frost or high wind. The plan is advice: local codes and licensed practice come first."

// care stands on every run card; the foot of its sheet has all the cautions.
const care = "Walk the path; keep people, animals and vehicles clear. Not in lightning, frost or high wind. The foot of this sheet has the other cautions."

func (v *view) act(sh *sheet, when, what, why string) {
	v.Actions = append(v.Actions, action{Pivot: sh.Name, ID: sh.ID, Verb: sh.Verb, When: when, What: what, Why: why, Go: sh.Go})
}

// way is "clockwise, 40° to 90°", or once round.
func way(p *report.Pass) string {
	turn := "clockwise"
	if p.Direction == "ccw" {
		turn = "counter-clockwise"
	}
	if report.DegText(float64(p.StartDeg)) == report.DegText(float64(p.StopDeg)) {
		return turn + ", once round from " + report.DegText(float64(p.StartDeg)) + "°"
	}
	return turn + ", " + sectorText(float64(p.StartDeg), float64(p.StopDeg))
}

// short is the way in a table: "cw 40–90°".
func short(p *report.Pass) string {
	from, to := report.DegText(float64(p.StartDeg)), report.DegText(float64(p.StopDeg))
	if from == to {
		return p.Direction + " round, " + from + "°"
	}
	return p.Direction + " " + from + "–" + to + "°"
}

func (v *view) leg(k int, l *report.Leg, pivot string) leg {
	out := leg{N: k + 1, From: report.DegText(float64(l.FromDeg)), To: report.DegText(float64(l.ToDeg)),
		Timer: report.TimerText(float64(l.TimerPct)), Depth: "dry", Wet: l.Water,
		Begins: report.ClockText(time.Time(l.Start)), Takes: units.Hours.Format(v.s, float64(l.Hours)), Why: l.Why.Under(pivot).Brief(v.s)}
	if l.Water {
		if cost := float64(l.WaitCost); !math.IsNaN(cost) {
			out.Why += "; a day later " + report.Signed(v.a.Plan.Cost.Currency, cost)
		}
		out.Depth = units.Depth.Format(v.s, float64(l.GrossMM))
	}
	return out
}

// decision is what the plan does for a zone; nil where there is no plan.
func (v *view) decision(zone string) *report.ZoneDecision {
	if v.a.Plan == nil {
		return nil
	}
	for i := range v.a.Plan.Zones {
		if z := &v.a.Plan.Zones[i]; z.Zone == zone {
			return z
		}
	}
	return nil
}

// standing is how a zone stands; nil on a page that does not tell.
func (v *view) standing(zone string) *report.ZoneStatus {
	if v.a.Status == nil {
		return nil
	}
	for i := range v.a.Status.Zones {
		if z := &v.a.Status.Zones[i]; z.Zone == zone {
			return z
		}
	}
	return nil
}

// zoneNumbers is depletion over trigger of the driest ground, for the map.
func (v *view) zoneNumbers(zone string) string {
	if d := v.decision(zone); d != nil {
		return report.DepletionText(v.s, float64(d.DepletionMM)) + "/" + units.Depth.Format(v.s, float64(d.TriggerMM))
	}
	if st := v.standing(zone); st != nil {
		return report.DepletionText(v.s, float64(st.DriestMM)) + "/" + units.Depth.Format(v.s, float64(st.DriestTrigMM))
	}
	return ""
}

func (v *view) zoneRow(z *Zone, pivot string) zoneRow {
	row := zoneRow{Name: report.ShortZone(z.Name, pivot), Table: "deep"}
	if !math.IsInf(z.TableM, 1) {
		row.Table = units.Ground.Format(v.s, z.TableM)
	}
	if st := v.standing(z.Name); st != nil {
		row.Do = st.Standing
		row.Depletion = report.DepletionText(v.s, float64(st.DriestMM))
		row.Trigger = units.Depth.Format(v.s, float64(st.DriestTrigMM))
		row.Days = report.DaysText(float64(st.DaysLeftMin), float64(st.DaysLeftMax), v.a.Status.Days)
		if last := civil.Date(st.LastWater); last.IsValid() {
			row.Why = "last watered " + report.DayText(last) + ", " + units.Depth.Text(v.s, float64(st.LastNetMM)) + " net"
		}
		return row
	}
	if d := v.decision(z.Name); d != nil {
		row.Do = d.Decision
		row.Depletion = report.DepletionText(v.s, float64(d.DepletionMM))
		row.Trigger = units.Depth.Format(v.s, float64(d.TriggerMM))
		row.Days = report.DaysText(float64(d.DaysLeftMin), float64(d.DaysLeftMax), v.a.Plan.Horizon())
		row.Why = d.Why.Short(v.s)
		return row
	}
	row.Depletion = report.DepletionText(v.s, z.Morning.DepletionMM)
	row.Trigger = units.Depth.Format(v.s, z.Morning.TriggerMM)
	return row
}

func (v *view) plot(z *Zone, pivot string) soilPlot {
	p := soilPlot{Name: report.ShortZone(z.Name, pivot), Drawing: v.soil(z)}
	if last := min(z.Ahead, len(z.Days)) - 1; last >= 0 {
		p.Numbers = fmt.Sprintf("mean %s, driest %s", report.DepletionText(v.s, z.Days[last].DepletionMM), report.DepletionText(v.s, z.Days[last].DriestMM))
	}
	return p
}

// level is a bar of a share of the whole, with a mark.
func level(words, class string, share, next float64) template.HTML {
	var d drawing
	d.begin("level-bar", words, 0, 0, 200, 12)
	d.el("rect", "class", "trough", "x", 0.5, "y", 1, "width", 199, "height", 10)
	share = min(max(finite(share), 0), 1)
	d.el("rect", "class", class, "x", 0.5, "y", 1, "width", 199*share, "height", 10)
	if next > 0 {
		d.el("rect", "class", "rain", "x", 0.5+199*share, "y", 1, "width", 199*min(next, 1-share), "height", 10)
	}
	return d.end()
}

func (v *view) costs(p *report.Plan) {
	terms := p.Cost.Terms()
	most := 0.0
	for _, t := range terms {
		most = max(most, float64(t.Value))
	}
	for _, t := range terms {
		if t.Value == 0 {
			continue
		}
		money := units.Money(p.Cost.Currency, float64(t.Value))
		v.Costs = append(v.Costs, bar{t.Name, money, level(t.Name+" "+money, "et", float64(t.Value)/most, 0)})
	}
	v.CostTotal = units.Money(p.Cost.Currency, float64(p.Cost.Total))
	v.CostTo = report.DayText(civil.Date(p.To))
}

func (v *view) uses() {
	for i := range v.a.Use {
		u := &v.a.Use[i]
		row := use{Well: u.Well, Taken: units.Withdrawal.Format(v.s, u.TakenM3), Hours: units.Hours.Format(v.s, u.Hours),
			Planned: units.Withdrawal.Format(v.s, u.PlannedM3), Limit: "none", Left: "-",
			Cost: units.Money(v.a.Currency, u.EnergyCost+u.FuelCost+u.LabourCosts)}
		if !math.IsInf(u.LimitM3, 1) && u.LimitM3 > 0 {
			row.Limit = units.Withdrawal.Format(v.s, u.LimitM3)
			row.Left = units.Withdrawal.Format(v.s, u.LeftM3)
			row.Drawing = level(fmt.Sprintf("%s: %.0f %% of the season's limit taken, %.0f %% more planned", u.Well, 100*u.TakenM3/u.LimitM3, 100*u.PlannedM3/u.LimitM3),
				"irr", u.TakenM3/u.LimitM3, u.PlannedM3/u.LimitM3)
		}
		v.Uses = append(v.Uses, row)
	}
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
