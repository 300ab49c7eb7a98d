// A plan of one's own beside the program's, term by term.

package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/table"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields/whatif"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// Judged is what the evaluator says of a plan.
type Judged struct {
	Cost      Cost   `json:"cost"`
	VolumeM3  Number `json:"volume_m3"`
	PumpHours Number `json:"pump_hours"`
	EnergyKWh Number `json:"energy_kwh"`
	Starts    int    `json:"starts"`
}

// Comparison is what `sandwick plan --evaluate` answers, and what is added to
// the plan of a way of one's own. Its JSON names are promised.
type Comparison struct {
	Farm       string     `json:"farm"`
	JudgedAt   Instant    `json:"judged_at"`
	From       Day        `json:"from"`
	To         Day        `json:"to"`
	File       string     `json:"file"`  // "" when it is not of a file
	Asked      []Note     `json:"asked"` // what is done or supposed otherwise
	Feasible   bool       `json:"feasible"`
	Violation  *Violation `json:"violation"` // the first constraint broken; null: none
	Plan       Judged     `json:"plan"`
	Own        Judged     `json:"own"`
	Difference Judged     `json:"difference"` // own less plan
	// Expected is the same under the weather expected, where other weather was supposed.
	Expected *Expected `json:"expected"`
	// Weighed is what the two cost over the weather of earlier years, later passes
	// decided anew in each; null unless it was asked for.
	Weighed  *WeighedPair `json:"weighed"`
	Passes   []Pass       `json:"passes"` // of the own plan
	Warnings []Note       `json:"warnings"`
}

// Expected is a pair of plans under the weather expected.
type Expected struct {
	Plan       Judged `json:"plan"`
	Own        Judged `json:"own"`
	Difference Judged `json:"difference"`
}

// WeighedPair are mean costs over the weather of earlier years.
type WeighedPair struct {
	Plan       Number `json:"plan"`
	Own        Number `json:"own"`
	Difference Number `json:"difference"`
	Years      int    `json:"years"`
}

// CompareFacts is what a Comparison is written from.
type CompareFacts struct {
	Farm, Currency string
	Problem        *runplan.Problem
	File           string
	Asked          []Note
	Plan, Own      *runplan.Result
	Expected       *[2]*runplan.Result // plan, own
	Weighed        *whatif.Weighed
	Warnings       []Note
}

// NewComparison puts two results side by side.
func NewComparison(f CompareFacts) *Comparison {
	now := f.Problem.Now
	today := civil.DateOf(now)
	c := &Comparison{
		Farm: f.Farm, JudgedAt: Instant(now), From: Day(today), To: Day(today.AddDays(f.Problem.Days - 1)),
		File: f.File, Asked: orEmpty(f.Asked),
		Feasible: f.Own.Feasible(), Violation: NewViolation(f.Own.Violation, now),
		Plan: judged(f.Plan, f.Currency), Own: judged(f.Own, f.Currency),
		Passes: []Pass{}, Warnings: orEmpty(f.Warnings),
	}
	c.Difference = c.Own.less(&c.Plan)
	if f.Expected != nil {
		e := &Expected{Plan: judged(f.Expected[0], f.Currency), Own: judged(f.Expected[1], f.Currency)}
		e.Difference = e.Own.less(&e.Plan)
		c.Expected = e
	}
	if w := f.Weighed; w != nil {
		c.Weighed = &WeighedPair{Number(w.Plan), Number(w.Own), Number(w.Own - w.Plan), w.Years}
	}
	passes := slices.Clone(f.Own.Passes)
	for i := range passes {
		c.Passes = append(c.Passes, newPass(&passes[i], machineOf(f.Problem, passes[i].Pivot), func(r runplan.Reason) Reason { return Reason{Reason: r, today: today} }))
	}
	return c
}

func judged(r *runplan.Result, currency string) Judged {
	j := Judged{Cost: newCost(r.Cost, currency), VolumeM3: Number(r.WaterM3), PumpHours: Number(r.Hours), EnergyKWh: Number(r.EnergyKWh)}
	for i := range r.Passes {
		j.Starts += 1 + len(r.Passes[i].Pauses)
	}
	return j
}

func (j *Judged) less(k *Judged) Judged {
	a, b := &j.Cost, &k.Cost
	return Judged{
		Cost: Cost{
			Pumping: a.Pumping - b.Pumping, Labour: a.Labour - b.Labour, Stress: a.Stress - b.Stress, Late: a.Late - b.Late,
			Percolation: a.Percolation - b.Percolation, Carry: a.Carry - b.Carry, Preference: a.Preference - b.Preference, Total: a.Total - b.Total, Currency: a.Currency,
		},
		VolumeM3: j.VolumeM3 - k.VolumeM3, PumpHours: j.PumpHours - k.PumpHours, EnergyKWh: j.EnergyKWh - k.EnergyKWh,
		Starts: j.Starts - k.Starts,
	}
}

// costTerm is one term of a cost.
type costTerm struct {
	key, name string
	value     func(*Cost) Number
}

var costTerms = []costTerm{
	{"pumping", "pumping", func(c *Cost) Number { return c.Pumping }},
	{"labour", "starts", func(c *Cost) Number { return c.Labour }},
	{"stress", "crop lost to stress", func(c *Cost) Number { return c.Stress }},
	{"late", "late ground", func(c *Cost) Number { return c.Late }},
	{"percolation", "nitrogen leached", func(c *Cost) Number { return c.Percolation }},
	{"carry", "water still owed at the end", func(c *Cost) Number { return c.Carry }},
	{"preference", "priorities", func(c *Cost) Number { return c.Preference }},
	{"total", "total", func(c *Cost) Number { return c.Total }},
}

// TermRow is one term of the cost as a row of CSV.
type TermRow struct {
	Term         string `csv:"term"`
	Plan         Number `csv:"plan"`
	Own          Number `csv:"own"`
	Difference   Number `csv:"difference"`
	ExpectedPlan Number `csv:"expected_plan"` // under the weather expected, where other weather was supposed
	ExpectedOwn  Number `csv:"expected_own"`
}

// TermRows lists the terms of the cost.
func (c *Comparison) TermRows() []TermRow {
	rows := []TermRow{}
	for _, t := range costTerms {
		row := TermRow{t.key, t.value(&c.Plan.Cost), t.value(&c.Own.Cost), t.value(&c.Difference.Cost), Number(math.NaN()), Number(math.NaN())}
		if e := c.Expected; e != nil {
			row.ExpectedPlan, row.ExpectedOwn = t.value(&e.Plan.Cost), t.value(&e.Own.Cost)
		}
		rows = append(rows, row)
	}
	return rows
}

// WriteText prints the comparison: whether it can be run and what it costs
// first, the terms second. of is what the own plan is called.
func (c *Comparison) WriteText(w io.Writer, s units.System, of string) error {
	var b strings.Builder
	made := time.Time(c.JudgedAt)
	fmt.Fprintf(&b, "%s: %s, judged as of %s, %s\n", c.Farm, of, dayYearText(civil.DateOf(made)), made.Format("15:04"))
	for _, text := range Texts(c.Asked, s) {
		b.WriteString(table.Paragraph("  - ", text))
	}
	b.WriteByte('\n')
	if c.Violation != nil {
		where := ""
		if c.Violation.Pass >= 0 {
			where = fmt.Sprintf(" (pass %d)", c.Violation.Pass+1)
			if c.Violation.Place != "" {
				where = fmt.Sprintf(" (pass %d, %s)", c.Violation.Pass+1, c.Violation.Place)
			}
		}
		b.WriteString(table.Paragraph("CANNOT BE RUN"+where+": ", c.Violation.Text(s)+"."))
		b.WriteString("The cost is of what its passes would do if they could be run.\n")
	} else {
		b.WriteString("CAN BE RUN.\n")
	}
	b.WriteString(table.Paragraph("", c.Verdict()))
	b.WriteByte('\n')
	c.writeTerms(&b, s)
	if text := c.ExpectedText(); text != "" {
		b.WriteByte('\n')
		b.WriteString(table.Paragraph("", text))
	}
	if text := c.WeighedText(); text != "" {
		b.WriteByte('\n')
		b.WriteString(table.Paragraph("", text))
	}
	c.writePasses(&b, s)
	writeList(&b, "Take note", Texts(c.Warnings, s))
	_, err := io.WriteString(w, b.String())
	return err
}

// ExpectedText is what the two come to under the weather expected; empty where no
// other was supposed.
func (c *Comparison) ExpectedText() string {
	e := c.Expected
	if e == nil {
		return ""
	}
	return fmt.Sprintf("If the weather comes as expected instead and nothing is changed: the plan %s, your way %s, %s.",
		units.Money(e.Plan.Cost.Currency, float64(e.Plan.Cost.Total)), units.Money(e.Own.Cost.Currency, float64(e.Own.Cost.Total)), moreText(&e.Difference.Cost))
}

// WeighedText is what the two come to over earlier years; empty where that was
// not asked for.
func (c *Comparison) WeighedText() string {
	w := c.Weighed
	if w == nil {
		return ""
	}
	currency := c.Plan.Cost.Currency
	return fmt.Sprintf("In the weather of %d earlier years, with what comes after tomorrow decided as it goes, on average: the plan %s, your way %s, %s.",
		w.Years, units.Money(currency, float64(w.Plan)), units.Money(currency, float64(w.Own)), moreText(&Cost{Total: w.Difference, Currency: currency}))
}

// moreText is "$12 more" or "$12 less", or "the same".
func moreText(d *Cost) string {
	v := float64(d.Total)
	switch {
	case math.Abs(v) < 0.5:
		return "the same"
	case v > 0:
		return units.Money(d.Currency, v) + " more"
	}
	return units.Money(d.Currency, -v) + " less"
}

// Verdict is the answer in a sentence: which is dearer, and by what most.
func (c *Comparison) Verdict() string {
	d := &c.Difference.Cost
	plan, own := units.Money(d.Currency, float64(c.Plan.Cost.Total)), units.Money(d.Currency, float64(c.Own.Cost.Total))
	text := fmt.Sprintf("Your way costs %s to %s, the plan %s: %s", own, dayText(civil.Date(c.To)), plan, moreText(d))
	var most *costTerm
	for i := range costTerms[:len(costTerms)-1] {
		t := &costTerms[i]
		if v := t.value(d); v*d.Total > 0 && (most == nil || math.Abs(float64(v)) > math.Abs(float64(most.value(d)))) {
			most = t
		}
	}
	if most != nil && math.Abs(float64(d.Total)) >= 0.5 {
		text += fmt.Sprintf(", above all for %s (%s)", most.name, signed(d.Currency, float64(most.value(d))))
	}
	return text + "."
}

func signed(currency string, v float64) string {
	text := units.Money(currency, v)
	if v >= 0.5 {
		return "+" + text
	}
	return text
}

func (c *Comparison) writeTerms(b *strings.Builder, s units.System) {
	t := table.New(table.Words("cost"), table.Numbers("the plan", ""), table.Numbers("your way", ""), table.Numbers("difference", ""))
	t.Indent = 2
	for _, term := range c.Terms(s) {
		t.Row(term.Name, term.Plan, term.Own, term.Difference)
	}
	b.WriteString(t.String())
}

// Term is one line of a comparison as it is shown.
type Term struct {
	Name, Plan, Own, Difference string
	Total                       bool // the sum of the lines of money above it
}

// Terms are the lines of a comparison: money by term, then water, hours and starts.
func (c *Comparison) Terms(s units.System) []Term {
	currency := c.Plan.Cost.Currency
	list := []Term{}
	for _, term := range costTerms {
		p, o := term.value(&c.Plan.Cost), term.value(&c.Own.Cost)
		if p == 0 && o == 0 && term.key != "total" {
			continue
		}
		list = append(list, Term{term.name, units.Money(currency, float64(p)), units.Money(currency, float64(o)), signed(currency, float64(o-p)), term.key == "total"})
	}
	plus := func(text string, v Number) string {
		if v > 0 && !strings.HasPrefix(text, "0") {
			return "+" + text
		}
		return text
	}
	row := func(name string, q units.Quantity, v func(*Judged) Number) {
		list = append(list, Term{Name: name + ", " + q.Unit(s), Plan: q.Format(s, float64(v(&c.Plan))), Own: q.Format(s, float64(v(&c.Own))),
			Difference: plus(q.Format(s, float64(v(&c.Difference))), v(&c.Difference))})
	}
	row("water", units.Volume, func(j *Judged) Number { return j.VolumeM3 })
	row("pumping", units.Hours, func(j *Judged) Number { return j.PumpHours })
	return append(list, Term{Name: "starts", Plan: fmt.Sprint(c.Plan.Starts), Own: fmt.Sprint(c.Own.Starts), Difference: plus(fmt.Sprint(c.Difference.Starts), Number(c.Difference.Starts))})
}

// writePasses lists the passes judged, one line each.
func (c *Comparison) writePasses(b *strings.Builder, s units.System) {
	if c.File == "" {
		return // the plan itself follows
	}
	b.WriteString("\nTHE PASSES\n")
	if len(c.Passes) == 0 {
		b.WriteString("  none\n")
		return
	}
	t := table.New(table.Numbers("", ""), table.Words("pivot"), table.Words("begins"), table.Words("done"), table.Numbers("from", "deg"), table.Numbers("to", "deg"),
		table.Words("turns"), table.Numbers("legs", ""), table.Numbers("pumps", units.Hours.Unit(s)), table.Numbers("volume", units.Volume.Unit(s)), table.Numbers("cost", ""))
	t.Indent = 2
	for i := range c.Passes {
		p := &c.Passes[i]
		t.Row(fmt.Sprint(i+1), p.Pivot, momentText(time.Time(p.Start)), momentText(time.Time(p.End)), degText(float64(p.StartDeg)), degText(float64(p.StopDeg)),
			p.Direction, fmt.Sprint(len(p.Legs)), units.Hours.Format(s, float64(p.PumpHours)), units.Volume.Format(s, float64(p.VolumeM3)),
			units.Money(c.Plan.Cost.Currency, float64(p.Cost)))
	}
	b.WriteString(t.String())
}
