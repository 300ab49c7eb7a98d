// [[wells]] and [[pivots]], with their hours of no running and their prices.

package settings

import (
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"sandwick/et/input"
	"sandwick/pivot"
)

func (s *Settings) readWells(root *section) {
	root.each("wells", func(sec *section) {
		w := Well{
			Name:           uniqueName(sec, "well", s.WellNames()),
			FlowM3H:        sec.needQuantity("flow", flows, limits{0.1, 5000}),
			NoRun:          readWindows(sec, "no_run"),
			SeasonLimitM3:  sec.quantity("season_limit", volumes, math.Inf(1), limits{1, 1e9}),
			MaxHoursPerDay: sec.number("max_hours_per_day", DefaultMaxHours, limits{0.1, 24}),
			FuelPerH:       sec.number("fuel_per_h", 0, limits{0, 1e5}),
			NitratePPM:     sec.number("nitrate_ppm", math.NaN(), limits{0, 1000}),
			Meter:          readMeter(sec),
			Pos:            sec.pos("name"),
		}
		if e, ok := sec.sub("energy"); ok {
			w.PerKWh = e.number("per_kwh", 0, limits{0, 1e3})
			s.doubtPrice(e, w.PerKWh)
			if !e.has("per_kwh") {
				e.report("per_kwh", "", "is missing; give the price of a kWh outside peak hours")
			}
			e.each("peak", func(p *section) {
				r := Rate{Window: readWindow(p), PerKWh: p.needNumber("per_kwh", limits{0, 1e3})}
				s.doubtPrice(p, r.PerKWh)
				w.Peak = append(w.Peak, r)
			})
			e.done()
		}
		s.Wells = append(s.Wells, w)
	})
}

// uniqueName reads the name of a thing that others refer to.
func uniqueName(sec *section, kind string, taken []string) string {
	name := sec.needText("name", "a name for the "+kind)
	if slices.Contains(taken, name) {
		sec.report("name", name, "is the name of another %s; names must differ", kind)
	}
	return name
}

var dayNames = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"} // by time.Weekday

func readWindows(sec *section, key string) []Window {
	var out []Window
	sec.each(key, func(w *section) { out = append(out, readWindow(w)) })
	return out
}

func readWindow(sec *section) Window {
	w := Window{
		From: sec.clock("from"), To: sec.clock("to"),
		Start: sec.date("start"), End: sec.date("end"),
		Why: sec.text("why"),
	}
	if w.From == w.To && sec.has("from") && sec.has("to") {
		sec.report("to", show(sec.table["to"]), `is the same as from; a whole day runs from "00:00" to "24:00"`)
	}
	if w.Start.IsValid() && w.End.IsValid() && w.End.Before(w.Start) {
		sec.report("end", w.End.String(), "comes before the start, %s", w.Start)
	}
	if !sec.has("days") {
		sec.get("days")
		w.Days = [7]bool{true, true, true, true, true, true, true}
	}
	for i, d := range sec.texts("days") {
		n := slices.Index(dayNames, strings.ToLower(d))
		if n < 0 {
			sec.report(index("days", i), d, "is not a day; %s is accepted", input.OrList(dayNames))
			continue
		}
		w.Days[time.Weekday(n)] = true
	}
	return w
}

func (s *Settings) readPivots(root *section) {
	root.each("pivots", func(sec *section) {
		n := len(sec.problems)
		p := Pivot{Pos: sec.pos("name")}
		m := &p.Machine
		m.Name = uniqueName(sec, "pivot", s.PivotNames())
		m.Well = sec.name("well", "well", s.WellNames(), true)
		m.Center = readCenter(sec)
		m.LengthM = sec.needQuantity("length", lengths, limits{20, 1500})
		m.FlowM3H = sec.needQuantity("flow", flows, limits{1, 2000})
		m.HoursAtFull = sec.needNumber("hours_at_full_timer", limits{0.5, 240})
		timer, before := limits{0.1, 100}, len(sec.problems)
		m.TimerMinPct = sec.number("timer_min_pct", DefaultTimerMinPct, timer)
		m.TimerMaxPct = sec.number("timer_max_pct", DefaultTimerMaxPct, timer)
		if m.TimerMinPct >= m.TimerMaxPct {
			key := "timer_min_pct"
			if !sec.has(key) {
				key = "timer_max_pct"
			}
			sec.report(key, show(sec.table[key]), "leaves no timer setting between %s and %s; the least must be below the most", trim(m.TimerMinPct), trim(m.TimerMaxPct))
		}
		if len(sec.problems) > before { // recorded passes are not to be faulted for it
			m.TimerMinPct, m.TimerMaxPct = timer.min, timer.max
		}
		m.MaxGrossMM = sec.quantity("max_pass", depths, math.Inf(1), limits{1, 200})
		m.MaxLegs = sec.whole("max_legs", DefaultMaxLegs, limits{1, 360})
		m.Efficiency = sec.fraction("efficiency_pct", DefaultEfficiency, limits{30, 100})
		m.WettedM = sec.quantity("wetted_width", lengths, math.NaN(), limits{0.5, 60})
		m.PowerKW = sec.quantity("power", powers, 0, limits{0, 1000})
		m.DryPowerKW = sec.quantity("dry_power", powers, 0, limits{0, 1000})
		m.Stops = readStops(sec)
		m.Reversible = sec.flag("reversible") || m.Stops != nil && !sec.has("reversible")
		p.Parked = pivot.Azimuth(sec.number("parked_deg", 0, limits{0, 360}))
		if p.Parked == 360 {
			p.Parked = 0
		}
		p.NoRun = readWindows(sec, "no_run")
		readEndGun(sec, m)
		if m.Stops != nil {
			if !sec.has("parked_deg") {
				p.Parked = m.Stops.From
			} else if !m.Stops.Contains(p.Parked) {
				sec.report("parked_deg", show(sec.table["parked_deg"]), "is outside the part circle from %s to %s", trim(float64(m.Stops.From)), trim(float64(m.Stops.To)))
			}
		}
		s.checkFlow(sec, m)
		doubtScale(sec, m)
		if len(sec.problems) == n {
			checkBuild(sec, m)
		}
		s.Pivots = append(s.Pivots, p)
	})
}

// What machines are like, in the units in which a slip shows: outside these a
// number is most likely in another unit. Common practice, no published source.
const (
	leastGPMPerAcre = 2.0
	mostGPMPerAcre  = 15.0
	mostHoursAtFull = 60.0
	mostPerKWh      = 1.0 // in a currency whose unit is a few litres of fuel or less
	wellOverMachine = 3.0 // times what all machines of a well draw
)

// doubtScale doubts a machine that no other is like.
func doubtScale(sec *section, m *pivot.Machine) {
	if m.HoursAtFull > mostHoursAtFull {
		sec.doubt("hours_at_full_timer", show(sec.table["hours_at_full_timer"]),
			"is longer than machines take for a revolution at 100 percent, %s hours at most; is it the time at another timer?", trim(mostHoursAtFull))
	}
	area := math.Pi * m.LengthM * m.LengthM // of the whole circle: a part of one is watered by the same machine
	if !(area > 0) || !(m.FlowM3H > 0) {
		return
	}
	const acre, gpm = 4046.8564224, 0.2271247 // m2; m3/h
	if rate := m.FlowM3H / gpm / (area / acre); rate < leastGPMPerAcre || rate > mostGPMPerAcre {
		key := sec.keyOf("flow", flows)
		sec.doubt(key, show(sec.table[key]), "is %.3g gpm for each of the %.3g acres of the whole circle, and machines have %s to %s; are flow and length in the units they are named by?",
			rate, area/acre, trim(leastGPMPerAcre), trim(mostGPMPerAcre))
	}
}

// doubtWells doubts wells that give far more than all that draws from them.
func (s *Settings) doubtWells(root *section) {
	i := 0
	list, _ := root.table["wells"].([]any)
	for _, el := range list {
		t, ok := el.(map[string]any)
		if !ok || i >= len(s.Wells) {
			continue
		}
		w := &s.Wells[i]
		sec := root.section(index("wells", i), t)
		i++
		drawn := 0.0
		for k := range s.Pivots {
			if m := &s.Pivots[k].Machine; m.Well == w.Name && m.FlowM3H > 0 {
				drawn += m.FlowM3H + m.EndGunM3H
			}
		}
		if drawn > 0 && w.FlowM3H > wellOverMachine*drawn {
			key := sec.keyOf("flow", flows)
			sec.doubt(key, show(sec.table[key]), "is %.3g times what all machines of well %s draw together, %s; is it in the unit it is named by?",
				w.FlowM3H/drawn, w.Name, sec.amount(key, flows, drawn))
		}
	}
}

// doubtPrice doubts a price of energy in cents.
func (s *Settings) doubtPrice(sec *section, price float64) {
	switch s.Currency {
	case "USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "$", "\u20ac", "\u00a3":
		if price > mostPerKWh {
			sec.doubt("per_kwh", show(sec.table["per_kwh"]), "is more than %s %s for a kilowatt-hour; in cents?", trim(mostPerKWh), s.Currency)
		}
	}
}

// checkBuild lets the machine's own rules have the last word, on what the
// limits of single keys cannot see.
func checkBuild(sec *section, m *pivot.Machine) {
	err := m.Validate()
	faults, _ := errors.AsType[pivot.Faults](err)
	for _, f := range faults {
		key, msg := "name", f.Msg
		switch f.Field {
		case "Reversible":
			key = "reversible"
		case "MaxGrossMM":
			key = sec.keyOf("max_pass", depths)
			bare := *m
			bare.EndGunM, bare.EndGunM3H, bare.EndGunArcs = 0, 0, nil
			const up = 1.0005 // so that the rounded number is accepted when typed
			msg = "must be at least the " + sec.amount(key, depths, up*bare.GrossMM(m.TimerMaxPct, 0)) + " that the machine leaves at its fastest timer"
		case "Center":
			key = "center"
		}
		got := m.Name
		if v, ok := sec.table[key]; ok && key != "center" {
			got = show(v)
		}
		sec.report(key, got, "%s", msg)
	}
}

// checkFlow doubts a machine that asks more of its well than the well has.
func (s *Settings) checkFlow(sec *section, m *pivot.Machine) {
	for i := range s.Wells {
		w := &s.Wells[i]
		if w.Name == m.Well && m.FlowM3H+m.EndGunM3H > w.FlowM3H*(1+flowSlack) {
			key := sec.keyOf("flow", flows)
			sec.doubt(key, show(sec.table[key]), "is more than well %s gives", w.Name)
		}
	}
}

// flowSlack is how far a machine's flow may exceed its well's by rounding.
const flowSlack = 0.01

func readCenter(sec *section) orb.Point {
	if !sec.has("center") && (sec.has("latitude_deg") || sec.has("longitude_deg")) {
		sec.get("center")
		return orb.Point{sec.needNumber("longitude_deg", limits{-180, 180}), sec.needNumber("latitude_deg", limits{-89, 89})}
	}
	nan := orb.Point{math.NaN(), math.NaN()}
	if !sec.has("center") {
		sec.get("center")
		sec.report("center", "", "is missing; [longitude, latitude] in degrees is accepted")
		return nan
	}
	l := sec.list("center")
	if l == nil {
		return nan
	}
	if len(l) != 2 {
		sec.report("center", "", "is not two numbers; [longitude, latitude] in degrees is accepted")
		return nan
	}
	n := len(sec.problems)
	at := orb.Point{
		sec.check("center[0]", l[0], math.NaN(), plain, limits{-180, 180}),
		sec.check("center[1]", l[1], math.NaN(), plain, limits{-89, 89}),
	}
	if lon, lat := plainNumber(l[1]), plainNumber(l[0]); len(sec.problems) > n && math.Abs(lat) <= 89 && math.Abs(lon) <= 180 {
		sec.problems[n].Msg += "; longitude goes first: may the two be swapped?"
	}
	return at
}

func readStops(sec *section) *pivot.Arc {
	from := sec.number("start_deg", math.NaN(), limits{0, 360})
	to := sec.number("stop_deg", math.NaN(), limits{0, 360})
	switch {
	case !sec.has("start_deg") && !sec.has("stop_deg"):
		return nil
	case !sec.has("stop_deg"):
		sec.report("stop_deg", "", "is missing; a part circle runs clockwise from start_deg to stop_deg")
	case !sec.has("start_deg"):
		sec.report("start_deg", "", "is missing; a part circle runs clockwise from start_deg to stop_deg")
	case math.IsNaN(from) || math.IsNaN(to): // reported
	case math.Mod(from, 360) == math.Mod(to, 360):
		sec.report("stop_deg", show(sec.table["stop_deg"]), "is the same as start_deg; leave both out for a full circle")
	default:
		return &pivot.Arc{From: pivot.Azimuth(from).Norm(), To: pivot.Azimuth(to).Norm()}
	}
	return nil
}

func readEndGun(sec *section, m *pivot.Machine) {
	throw := sec.quantity("end_gun_throw", lengths, 0, limits{0, 100})
	flow := sec.quantity("end_gun_flow", flows, 0, limits{0, 200})
	for i, v := range sec.list("end_gun_arcs") {
		key := index("end_gun_arcs", i)
		pair, ok := v.([]any)
		if !ok || len(pair) != 2 {
			sec.report(key, show(v), "is not an arc; [from, to] in degrees, clockwise, is accepted")
			continue
		}
		a := sec.check(index(key, 0), pair[0], math.NaN(), plain, limits{0, 360})
		b := sec.check(index(key, 1), pair[1], math.NaN(), plain, limits{0, 360})
		if !math.IsNaN(a) && !math.IsNaN(b) {
			m.EndGunArcs = append(m.EndGunArcs, pivot.Arc{From: pivot.Azimuth(a).Norm(), To: pivot.Azimuth(b).Norm()})
		}
	}
	m.EndGunM, m.EndGunM3H = throw, flow
	switch {
	case throw == 0 && (flow > 0 || len(m.EndGunArcs) > 0):
		sec.report("end_gun_throw", "", "is missing; an end gun needs its throw as well as its flow and arcs")
	case throw > 0 && len(m.EndGunArcs) == 0:
		sec.report("end_gun_arcs", "", "is missing; where the end gun runs, as [[from, to], ...]; [[0, 360]] for all round")
	}
}

// WellNames lists the wells in the order of the file.
func (s *Settings) WellNames() []string {
	return names(s.Wells, func(w *Well) string { return w.Name })
}

// PivotNames lists the pivots in the order of the file.
func (s *Settings) PivotNames() []string {
	return names(s.Pivots, func(p *Pivot) string { return p.Name })
}

// FieldNames lists the fields in the order of the file.
func (s *Settings) FieldNames() []string {
	return names(s.Fields, func(f *Field) string { return f.Name })
}

// SoilNames lists the soils in the order of the file.
func (s *Settings) SoilNames() []string {
	return names(s.Soils, func(o *Soil) string { return o.Name })
}

func names[T any](list []T, of func(*T) string) []string {
	out := make([]string, 0, len(list))
	for i := range list {
		if n := of(&list[i]); n != "" {
			out = append(out, n)
		}
	}
	return out
}
