// Package planfile reads a run plan from the JSON that `sandwick plan --json`
// writes, edited by hand or not. It is strict: what decides a pass must be there
// and make sense, and a name it does not know is a fault, with the nearest one
// known. What follows from the passes (ends, depths, volumes, costs) may stand
// in the file, is not needed, and decides nothing.
package planfile

import (
	"encoding/json"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/et/input"
	"sandwick/pivot"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// File is a plan that was read.
type File struct {
	MadeAt time.Time  // zero: not in the file
	To     civil.Date // last day looked at; zero: not in the file
	Passes []runplan.Pass
	Pos    []input.Pos // of each pass
	Legs   [][]Leg     // what the file says of each leg beyond what decides it
}

// Leg is what a file says of a leg that follows from other numbers.
type Leg struct {
	Pos     input.Pos
	GrossMM float64 // NaN: not said
}

// Read reads a plan. Names are what passes may be called for; loc is the farm's
// time zone. With problems the File is nil.
func Read(name string, text []byte, pivots []string, loc *time.Location) (*File, input.Problems) {
	r := reader{source: &source{name, text}, pivots: pivots, loc: loc}
	root, problems := r.parse()
	if len(problems) > 0 {
		return nil, problems
	}
	f := r.plan(&root)
	if len(r.problems) > 0 {
		r.problems.Sort()
		return nil, r.problems
	}
	return f, nil
}

type reader struct {
	*source
	pivots   []string
	loc      *time.Location
	problems input.Problems
}

// keys are the names that a struct is written with.
func keys[T any]() []string {
	var out []string
	for t, i := reflect.TypeFor[T](), 0; i < t.NumField(); i++ {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if name != "" && name != "-" {
			out = append(out, name)
		}
	}
	return out
}

var (
	planKeys  = keys[report.Plan]()
	passKeys  = keys[report.Pass]()
	legKeys   = keys[report.Leg]()
	pauseKeys = keys[report.Pause]()
)

// object holds n to be an object with known names only.
func (r *reader) object(n *node, what string, known []string) bool {
	if n.kind != "an object" {
		r.problems.Add(r.pos(n.at), what, r.text1(n), "is not an object {...}")
		return false
	}
	for i := range n.members {
		m := &n.members[i]
		ok := false
		for _, k := range known {
			ok = ok || k == m.name
		}
		if ok {
			continue
		}
		hint := "known: " + strings.Join(known, ", ")
		if near := input.Nearest(m.name, known); near != "" {
			hint = "did you mean " + strconv.Quote(near) + "?"
		}
		r.problems.Add(r.pos(m.at), m.name, "", "is no name of %s; %s", what, hint)
	}
	return true
}

// text1 is a value as it stands in the file, as far as it is plain.
func (r *reader) text1(n *node) string {
	switch v := n.value.(type) {
	case string:
		return v
	case json.Number:
		return v.String()
	case bool:
		return strconv.FormatBool(v)
	}
	if n.kind == "null" {
		return "null"
	}
	return ""
}

// need finds a member; without it, it says where it is missing.
func (r *reader) need(n *node, name, want string) *member {
	m := n.find(name)
	if m == nil {
		r.problems.Add(r.pos(n.at), name, "", "is missing; want %s", want)
	}
	return m
}

func (r *reader) wrong(m *member, want string) {
	r.problems.Add(r.pos(m.node.at), m.name, r.text1(&m.node), "want %s", want)
}

func (r *reader) list(n *node, name string, required bool) []node {
	m := n.find(name)
	if m == nil {
		if required {
			r.need(n, name, "a list [...]")
		}
		return nil
	}
	if m.kind != "a list" {
		r.wrong(m, "a list [...]")
		return nil
	}
	return m.items
}

// number reads a number within limits.
func (r *reader) number(n *node, name string, lo, hi float64, want string) float64 {
	m := r.need(n, name, want)
	if m == nil {
		return math.NaN()
	}
	v, ok := m.value.(json.Number)
	x, err := v.Float64()
	if !ok || err != nil || !(x >= lo && x <= hi) {
		r.wrong(m, want)
		return math.NaN()
	}
	return x
}

const wantTime = "a time with its offset, such as 2026-07-14T06:00:00-05:00"

func (r *reader) instant(n *node, name string) time.Time {
	m := r.need(n, name, wantTime)
	if m == nil {
		return time.Time{}
	}
	text, _ := m.value.(string)
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		r.wrong(m, wantTime)
		return time.Time{}
	}
	return t.In(r.loc)
}

func (r *reader) azimuth(n *node, name string) pivot.Azimuth {
	return pivot.Azimuth(r.number(n, name, 0, 360, "an azimuth from 0 to 360 degrees"))
}

func (r *reader) plan(root *node) *File {
	f := &File{}
	if !r.object(root, "a plan", planKeys) {
		return f
	}
	if m := root.find("made_at"); m != nil {
		f.MadeAt = r.instant(root, "made_at")
	}
	if m := root.find("to"); m != nil {
		text, _ := m.value.(string)
		d, err := civil.ParseDate(text)
		if err != nil {
			r.wrong(m, "a date such as 2026-07-14")
		}
		f.To = d
	}
	for i := range r.list(root, "passes", true) {
		n := &root.find("passes").items[i]
		pass, legs := r.pass(n)
		f.Passes = append(f.Passes, pass)
		f.Pos = append(f.Pos, r.pos(n.at))
		f.Legs = append(f.Legs, legs)
	}
	return f
}

func (r *reader) pass(n *node) (pass runplan.Pass, legs []Leg) {
	if !r.object(n, "a pass", passKeys) {
		return pass, nil
	}
	pass.Pivot = r.pivot(n)
	pass.Start = r.instant(n, "start")
	const wantWay = `"cw" (clockwise) or "ccw"`
	if m := r.need(n, "direction", wantWay); m != nil {
		switch m.value {
		case "cw":
			pass.Clockwise = true
		case "ccw":
		default:
			r.wrong(m, wantWay)
		}
	}
	pass.StartDeg = r.azimuth(n, "start_deg")
	items := r.list(n, "legs", true)
	if m := n.find("legs"); m != nil && m.kind == "a list" && len(items) == 0 {
		r.problems.Add(r.pos(m.node.at), "legs", "", "is empty; a pass has at least one leg")
	}
	for i := range items {
		leg, said := r.leg(&items[i])
		pass.Legs = append(pass.Legs, leg)
		legs = append(legs, said)
	}
	pauses := r.list(n, "pauses", false)
	for i := range pauses {
		p := &pauses[i]
		if !r.object(p, "a pause", pauseKeys) {
			continue
		}
		w := runplan.Window{From: r.instant(p, "from"), To: r.instant(p, "to")}
		if m := p.find("why"); m != nil {
			w.Why, _ = m.value.(string)
		}
		if !w.From.IsZero() && !w.To.IsZero() && !w.To.After(w.From) {
			r.problems.Add(r.pos(p.at), "pauses", "", "ends before it begins")
		}
		pass.Pauses = append(pass.Pauses, w)
	}
	return pass, legs
}

func (r *reader) pivot(n *node) string {
	m := r.need(n, "pivot", "the name of a pivot")
	if m == nil {
		return ""
	}
	name, ok := m.value.(string)
	if !ok {
		r.wrong(m, "the name of a pivot")
		return ""
	}
	for _, p := range r.pivots {
		if p == name {
			return name
		}
	}
	hint := "known: " + strings.Join(r.pivots, ", ")
	if near := input.Nearest(name, r.pivots); near != "" {
		hint = "did you mean " + strconv.Quote(near) + "?"
	}
	r.problems.Add(r.pos(m.node.at), "pivot", name, "the farm has no such pivot; %s", hint)
	return ""
}

func (r *reader) leg(n *node) (leg runplan.Leg, said Leg) {
	said = Leg{r.pos(n.at), math.NaN()}
	if !r.object(n, "a leg", legKeys) {
		return leg, said
	}
	leg.FromDeg, leg.ToDeg = r.azimuth(n, "from_deg"), r.azimuth(n, "to_deg")
	if m := r.need(n, "water", "true or false"); m != nil {
		wet, ok := m.value.(bool)
		if !ok {
			r.wrong(m, "true or false")
		}
		leg.Water = wet
	}
	leg.TimerPct = r.number(n, "timer_pct", 0.1, 100, "the timer setting, 0.1 to 100 percent")
	if m := n.find("gross_mm"); m != nil && m.kind != "null" {
		said.GrossMM = r.number(n, "gross_mm", 0, 1000, "a depth from 0 to 1000 mm, or null")
	}
	return leg, said
}
