// [priorities]: what the grower wants a plan to heed beyond money.

package settings

import "slices"

// Priorities are wishes that a plan weighs against money. That a machine keeps to
// its timer range is no wish: no plan leaves it.
type Priorities struct {
	Protect      []string // fields whose stress counts ProtectTimes as much
	ProtectTimes float64
	DayPerH      float64 // what a machine's pumping hour outside Night counts for beyond its price, currency; 0: day and night are alike
	Night        Window
}

// Times is how many times the stress of a field counts.
func (p *Priorities) Times(field string) float64 {
	if slices.Contains(p.Protect, field) {
		return p.ProtectTimes
	}
	return 1
}

// Defaults of [priorities]. Assumptions, no published source: three times is
// enough for a field to come before others of its kind, and by night the wind is
// mostly low and the air moist.
const (
	DefaultProtectTimes = 3.0
	defaultNightFrom    = 20 * 60
	defaultNightTo      = 8 * 60
)

func (s *Settings) readPriorities(root *section) {
	sec, _ := root.sub("priorities")
	defer sec.done()
	p := Priorities{
		ProtectTimes: sec.number("protect_times", DefaultProtectTimes, limits{1, 100}),
		DayPerH:      sec.number("prefer_night_per_h", 0, limits{0, 1e4}),
		Night:        Window{From: defaultNightFrom, To: defaultNightTo, Days: [7]bool{true, true, true, true, true, true, true}},
	}
	for _, name := range sec.texts("protect") {
		switch {
		case !slices.Contains(s.FieldNames(), name):
			sec.report("protect", name, "%s", unknownName("field", name, s.FieldNames()))
		case slices.Contains(p.Protect, name):
			sec.report("protect", name, "names a field twice")
		default:
			p.Protect = append(p.Protect, name)
		}
	}
	if sec.has("protect_times") && !sec.has("protect") {
		sec.report("protect_times", show(sec.table["protect_times"]), "does nothing without protect, the fields that it is for")
	}
	if night, ok := sec.sub("night"); ok {
		p.Night.From, p.Night.To = night.clock("from"), night.clock("to")
		if p.Night.From == p.Night.To && night.has("from") && night.has("to") {
			night.report("to", show(night.table["to"]), "is the same as from; a night from \"20:00\" to \"08:00\" is accepted")
		}
		night.done()
		if p.DayPerH == 0 {
			sec.report("night", "", "does nothing without prefer_night_per_h, what an hour of pumping by day should count for")
		}
	}
	s.Priorities = p
}
