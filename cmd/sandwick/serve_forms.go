// The forms of sandwick serve: what they ask for, and how what was typed is
// handed to the very code that understands `sandwick record`.

package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/url"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/site"
	"sandwick/et/input"

	"github.com/golang-sql/civil"
)

// recordForm is one kind of record as a form.
type recordForm struct {
	kind, name string // as the command has it, and for people
	lead       string
	fields     func(d *desk) []site.Field
	understand func(ctx context.Context, d *desk, said url.Values) (deed, error)
}

// everyField stands in the choice of places for a gauge read for the whole farm.
const everyField = "*"

var recordForms = []recordForm{
	{"rain", "Rain", "What a gauge showed.",
		func(d *desk) []site.Field {
			places := options(rainPlaces(d.Recording))
			if len(d.Fields) > 1 {
				places = append(places, site.Option{Value: everyField, Text: "every field: one gauge for the farm"})
			}
			return []site.Field{
				{Kind: site.Choice, Name: "place", Label: "Gauge at", Options: places},
				d.number("amount", "Amount", input.Depth, "in", "mm"), d.date(), note(),
			}
		},
		func(_ context.Context, d *desk, said url.Values) (deed, error) {
			if said.Get("place") == everyField {
				return d.rain(typedAlways(said), []string{typed(said, "amount")}, true)
			}
			return d.rain(typedAlways(said), []string{said.Get("place"), typed(said, "amount")}, false)
		}},
	{"pass", "Pass", "What a machine did, or has just begun to do. What is left empty is taken so: it starts now, from where its last pass left the arm, goes the whole way round, clockwise, and ends when the timer has brought it there.",
		passFields, understandPass},
	{"probe", "Probe", "Soil water of a zone between two depths below ground.",
		func(d *desk) []site.Field {
			return []site.Field{
				{Kind: site.Choice, Name: "zone", Label: "Zone", Options: options(d.Writer.Farm.Zones)},
				short(d.number("top", "From", input.Length, "ft", "m", "cm")), short(d.number("depth", "To", input.Length, "ft", "m", "cm")),
				{Kind: site.Number, Name: "reading", Label: "Reading", Units: []string{"% available", "% water", "kPa"},
					Help: "% available is of what the ground holds for the crop, % water of its volume, kPa is suction."},
				d.date(), note(),
			}
		},
		func(_ context.Context, d *desk, said url.Values) (deed, error) {
			return d.probe(typedAlways(said), []string{said.Get("zone"), dense(typed(said, "top")) + "-" + dense(typed(said, "depth")), typed(said, "reading")})
		}},
	{"water-table", "Water table", "How deep the water stands below ground in an observation pipe.",
		func(d *desk) []site.Field {
			return []site.Field{
				{Kind: site.Choice, Name: "pipe", Label: "Pipe", Options: options(d.Writer.Farm.Pipes)},
				d.number("depth", "Depth below ground", input.Length, "ft", "m", "cm"), d.date(), note(),
			}
		},
		func(_ context.Context, d *desk, said url.Values) (deed, error) {
			return d.waterTable(typedAlways(said), []string{said.Get("pipe"), typed(said, "depth")})
		}},
	{"cut", "Cut", "A cutting, and what was weighed if it is known yet.",
		func(d *desk) []site.Field {
			return []site.Field{
				{Kind: site.Choice, Name: "field", Label: "Field", Options: options(d.FieldNames())},
				short(d.number("hay", "Mown hay", input.Mass, "lb", "kg")), short(d.number("oil", "Oil from it", input.Mass, "lb", "kg")),
				d.date(), note(),
			}
		},
		func(_ context.Context, d *desk, said url.Values) (deed, error) {
			return d.cut(typedAlways(said), []string{said.Get("field")}, typed(said, "hay"), typed(said, "oil"))
		}},
	{"meter", "Meter", "What the totaliser of a well shows.",
		func(d *desk) []site.Field {
			return []site.Field{
				{Kind: site.Choice, Name: "well", Label: "Well", Options: options(d.WellNames())},
				{Kind: site.Number, Name: "reading", Label: "Reading", Units: []string{"as before", "gal", "acft", "acin", "m3"}},
				{Kind: site.Choice, Name: "event", Label: "What happened to it", Options: []site.Option{{Value: "", Text: "nothing"}, {Value: "rollover", Text: "rollover: it began at nought again"}, {Value: "replaced", Text: "replaced: the reading is the new one’s"}, {Value: "missing", Text: "missing: it could not be read"}}},
				d.date(), note(),
			}
		},
		func(_ context.Context, d *desk, said url.Values) (deed, error) {
			return d.meter(typedAlways(said), []string{said.Get("well"), typed(said, "reading")}, said.Get("event"))
		}},
	{"seen", "Seen", "What the crop or the ground looked like.",
		func(d *desk) []site.Field {
			return []site.Field{
				{Kind: site.Choice, Name: "zone", Label: "Zone", Options: options(d.Writer.Farm.Zones)},
				{Kind: site.Choice, Name: "seen", Label: "It was", Options: []site.Option{{Value: "wilted", Text: "wilted"}, {Value: "green", Text: "green without water"}, {Value: "wet", Text: "standing wet"}}},
				d.date(), note(),
			}
		},
		func(_ context.Context, d *desk, said url.Values) (deed, error) {
			return d.seen(typedAlways(said), []string{said.Get("zone"), said.Get("seen")})
		}},
}

func passFields(d *desk) []site.Field {
	return []site.Field{
		{Kind: site.Choice, Name: "pivot", Label: "Pivot", Options: options(d.PivotNames())},
		{Kind: site.Tick, Name: "plan", Label: "As the run plan has it", Help: "Takes the machine’s next pass of the plan; what is typed below corrects it."},
		short(site.Field{Kind: site.Moment, Name: "start", Label: "Started", Help: "Empty: now, or as planned."}),
		short(site.Field{Kind: site.Moment, Name: "end", Label: "Ended or stopped", Help: "Empty: as the timer has it."}),
		short(site.Field{Kind: site.Number, Name: "from", Label: "From", Units: []string{"° from north"}, Help: "Empty: where the arm stands."}),
		short(site.Field{Kind: site.Number, Name: "to", Label: "To", Units: []string{"° from north"}, Help: "Empty: the whole way."}),
		short(site.Field{Kind: site.Choice, Name: "direction", Label: "Direction", Options: []site.Option{{Value: "", Text: "as it goes"}, {Value: "cw", Text: "clockwise"}, {Value: "ccw", Text: "counter-clockwise"}}}),
		short(site.Field{Kind: site.Number, Name: "timer", Label: "Timer", Units: []string{"%"}}),
		{Kind: site.Tick, Name: "dry", Label: "Without water"},
		{Kind: site.Lines, Name: "leg", Label: "Legs, if timer or water changed on the way", Help: "One a line: to 120 at 42, or to 210 at 90 dry."},
		note(),
	}
}

func understandPass(ctx context.Context, d *desk, said url.Values) (deed, error) {
	f := passFlags{recordFlags: recordFlags{note: said.Get("note"), whole: true}, from: math.NaN(), to: math.NaN(), timer: math.NaN(),
		start: said.Get("start"), end: said.Get("end"), direction: said.Get("direction"), dryLeg: said.Get("dry") != "", plan: said.Get("plan") != ""}
	for _, x := range []struct {
		name string
		to   interface{ Set(string) error }
		v    *float64
	}{{"from", degrees{&f.from}, &f.from}, {"to", degrees{&f.to}, &f.to}, {"timer", number{&f.timer}, &f.timer}} {
		if text := typed(said, x.name); text != "" {
			if err := x.to.Set(text); err != nil {
				*x.v = math.NaN()
				f.wrong.add(about(x.name, usage(fmt.Errorf("%w (got %q)", err, text), "")))
			}
		}
	}
	for line := range strings.Lines(said.Get("leg")) {
		if line = strings.TrimSpace(line); line != "" {
			f.legs = append(f.legs, line)
		}
	}
	return d.pass(ctx, &f, []string{said.Get("pivot")})
}

func options(names []string) []site.Option {
	list := []site.Option{}
	for _, n := range names {
		list = append(list, site.Option{Value: n, Text: n})
	}
	return list
}

// number asks for a quantity, in the first of two units on a farm that counts in
// US units, else in the second.
func (d *desk) number(name, label string, _ input.Dimension, us, si string, more ...string) site.Field {
	f := site.Field{Kind: site.Number, Name: name, Label: label, Units: append([]string{us, si}, more...), Unit: si}
	if d.US {
		f.Unit = us
	}
	return f
}

func short(f site.Field) site.Field {
	f.Short = true
	return f
}

func (d *desk) date() site.Field {
	return site.Field{Kind: site.Date, Name: "date", Label: "Day", Value: civil.DateOf(d.now).String()}
}

func note() site.Field { return site.Field{Kind: site.Text, Name: "note", Label: "Remark"} }

func typedAlways(said url.Values) *recordFlags {
	return &recordFlags{date: said.Get("date"), note: said.Get("note"), whole: true}
}

// typed is a quantity as the command line would have it: the number, and the unit
// chosen beside it unless one was typed.
func typed(said url.Values, name string) string {
	text, unit := strings.TrimSpace(said.Get(name)), said.Get(name+"_unit")
	if unit == "" || unit == "as before" || text == "" {
		return text
	}
	for _, part := range strings.Fields(text) { // 0.4, or 1 1/2
		if strings.Trim(part, "0123456789.,/+-") != "" {
			return text
		}
	}
	return text + unit
}

// dense leaves out the spaces of a quantity that is a part of a range.
func dense(text string) string { return strings.ReplaceAll(text, " ", "") }

// refill puts what was typed back into a form.
func refill(list []site.Field, said url.Values) {
	for i := range list {
		f := &list[i]
		if !said.Has(f.Name) {
			if f.Kind == site.Tick {
				f.Value = ""
			}
			continue
		}
		f.Value = said.Get(f.Name)
		if f.Kind == site.Choice && !slices.ContainsFunc(f.Options, func(o site.Option) bool { return o.Value == f.Value }) && f.Value != "" {
			f.Options = append(f.Options, site.Option{Value: f.Value, Text: f.Value}) // kept, and said to be unknown
		}
		if unit := said.Get(f.Name + "_unit"); slices.Contains(f.Units, unit) {
			f.Unit = unit
		}
	}
}

// columnFields are the fields of forms that stand for columns of other names.
var columnFields = map[string][]string{
	"bottom": {"depth"}, "available": {"reading"}, "water": {"reading", "dry"}, "suction": {"reading"}, "unit": {"reading"},
}

// blame puts each fault of an error beside the field that it is about, and gives
// what is about none of them.
func blame(list []site.Field, err error) string {
	put := func(name, text string) bool {
		name, _ = columnUnit(strings.TrimPrefix(name, "--"))
		best := -1
		for _, n := range append([]string{name}, columnFields[name]...) {
			if best < 0 {
				best = slices.IndexFunc(list, func(f site.Field) bool { return f.Name == n })
			}
		}
		if best < 0 {
			return false
		}
		if old := list[best].Fault; old != "" {
			text = old + "; " + text
		}
		list[best].Fault = text
		return true
	}
	var all faults
	if errors.As(err, &all) {
		rest := []string{}
		for _, one := range all {
			if text := blame(list, one); text != "" {
				rest = append(rest, text)
			}
		}
		return strings.Join(rest, "; ")
	}
	var problems input.Problems
	if errors.As(err, &problems) {
		rest := []string{}
		for _, p := range problems {
			if p.File == "" && p.Line == 0 {
				text := p
				text.Field = ""
				if put(p.Field, text.Error()) {
					continue
				}
			}
			rest = append(rest, p.Error())
		}
		return strings.Join(rest, "; ")
	}
	text := err.Error()
	if u, ok := errors.AsType[*usageError](err); ok {
		if hint := pageHint(u.hint); hint != "" {
			text += "; " + hint
		}
		// Beside its field a message need not say again what it is about.
		for _, prefix := range []string{"--" + u.about + ": ", u.about + ": "} {
			text = strings.TrimPrefix(text, prefix)
		}
		if u.about != "" && put(u.about, text) {
			return ""
		}
	}
	return text
}

// pageHint leaves out of a hint what is about the command line.
func pageHint(hint string) string {
	parts := []string{}
	for _, part := range strings.Split(hint, "; ") {
		if part != "" && !strings.Contains(part, "--") && !strings.Contains(part, "`sandwick") {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, "; ")
}

// bookRows are the rows that a file of records ends with, the last first.
func bookRows(d *desk, file, token string, most int) []site.Back {
	rows := []site.Back{}
	list := d.Writer.Standing().Rows(file)
	for i := len(list) - 1; i >= 0 && len(rows) < most; i-- {
		rows = append(rows, site.Back{File: file, Token: token, Rows: []site.Row{rowOf(list[i])}})
	}
	return rows
}
