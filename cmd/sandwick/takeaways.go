// What can be carried away from an answer: a page, a plot, a calendar, a map.
package main

import (
	"bytes"
	"fmt"
	"os"
	"slices"

	"sandwick/cmd/sandwick/internal/page"
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/takeaway"
	"sandwick/fields"
	"sandwick/pivot"
	"sandwick/pivot/runplan"

	"github.com/spf13/cobra"
)

// pageFlags write an answer as a page or one plot of it as an image.
type pageFlags struct{ html, png, plot string }

func (f *pageFlags) define(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.html, "html", "", "write one page with maps and plots to this `FILE` (- is standard output)")
	cmd.Flags().StringVar(&f.png, "png", "", "write one plot as an image to this `FILE`")
	cmd.Flags().StringVar(&f.plot, "plot", "", "the plot for --png: a zone's `NAME`, a well's, or weather")
	must(cmd.MarkFlagFilename("html", "html"))
	must(cmd.MarkFlagFilename("png", "png"))
	must(cmd.RegisterFlagCompletionFunc("plot", cobra.NoFileCompletions))
}

// takeawayFlags write a plan in other forms.
type takeawayFlags struct {
	pageFlags
	ics, geojson string
}

func (f *takeawayFlags) define(cmd *cobra.Command) {
	f.pageFlags.define(cmd)
	cmd.Flags().StringVar(&f.ics, "ics", "", "write a calendar (RFC 5545) of starts, stops and last water before a cut to this `FILE`")
	cmd.Flags().StringVar(&f.geojson, "geojson", "", "write a map (RFC 7946) of legs and zones to this `FILE`")
	must(cmd.MarkFlagFilename("ics", "ics"))
	must(cmd.MarkFlagFilename("geojson", "geojson", "json"))
}

func (f *pageFlags) any() bool     { return f.html != "" || f.png != "" || f.plot != "" }
func (f *takeawayFlags) any() bool { return f.pageFlags.any() || f.ics != "" || f.geojson != "" }

// check refuses what cannot be meant. form are the command's other output flags.
func (f *pageFlags) check(form outputFlags) error {
	if (f.png == "") != (f.plot == "") {
		return usage(fmt.Errorf("--png and --plot go together"), `want --png FILE --plot "a zone's name", a well's, or weather`)
	}
	if f.any() && (form.json || form.csv) {
		return usage(fmt.Errorf("--html and --png exclude --json and --csv"), "run the command once for each form")
	}
	return nil
}

func (f *takeawayFlags) check(form outputFlags) error {
	if err := f.pageFlags.check(form); err != nil {
		return err
	}
	if f.any() && (form.json || form.csv) {
		return usage(fmt.Errorf("--ics and --geojson exclude --json and --csv"), "run the command once for each form")
	}
	toStdout := 0
	for _, name := range []string{f.html, f.png, f.ics, f.geojson} {
		if name == "-" {
			toStdout++
		}
	}
	if toStdout > 1 {
		return usage(fmt.Errorf("only one document can go to standard output"), "give the others a file name")
	}
	return nil
}

// output is one document and where it goes.
type output struct {
	name  string
	write func(*bytes.Buffer) error
}

// put makes all documents first and then writes them, each in one go and by its
// name on standard output; "-" is standard output itself.
func (p *program) put(list ...output) error {
	list = slices.DeleteFunc(list, func(o output) bool { return o.name == "" })
	docs := make([]bytes.Buffer, len(list))
	for i := range list {
		if err := list[i].write(&docs[i]); err != nil {
			return err
		}
	}
	for i, o := range list {
		if o.name == "-" {
			if _, err := p.stdout.Write(docs[i].Bytes()); err != nil {
				return fmt.Errorf("writing the answer: %w", err)
			}
			continue
		}
		if err := writeWhole(o.name, docs[i].Bytes()); err != nil {
			return &failure{err, "is there room, and may you write there?"}
		}
		fmt.Fprintln(p.stdout, o.name)
	}
	return nil
}

// pageOutputs are the page and the plot of it that were asked for.
func (f *pageFlags) outputs(a *page.Args) []output {
	return []output{
		{f.html, func(b *bytes.Buffer) error { return page.Write(b, a) }},
		{f.png, func(b *bytes.Buffer) error {
			if names := page.Plots(a); !slices.Contains(names, f.plot) {
				return unknownName("plot", f.plot, names)
			}
			return page.WritePNG(b, a, f.plot)
		}},
	}
}

// takeAway writes what was asked for of a plan.
func (p *program) takeAway(v view, f *planFlags, season *fields.Season, ahead *fields.Ahead, plan *runplan.Plan, answer *report.Plan) error {
	list := []output{}
	field, keep := f.keepers(v.farm)
	if f.away.pageFlags.any() {
		facts, err := v.pageFacts(page.RunPlan, season, ahead, plan, answer)
		if err != nil {
			return &failure{fmt.Errorf("setting the page: %w", err), ""}
		}
		keepPivots(facts, keep)
		list = f.away.outputs(facts)
	}
	list = append(list, output{f.away.ics, func(b *bytes.Buffer) error {
		former := takeaway.Former{Text: formerCalendar(f.away.ics)}
		for i := range v.farm.Pivots {
			if name := v.farm.Pivots[i].Name; keep(name) {
				former.Pivots = append(former.Pivots, name)
			}
		}
		for i := range v.farm.Fields {
			if name := v.farm.Fields[i].Name; field(name) {
				former.Fields = append(former.Fields, name)
			}
		}
		return takeaway.WriteCalendar(b, answer, v.cuts(season, field), v.units, former)
	}}, output{f.away.geojson, func(b *bytes.Buffer) error {
		machines, zones := []*pivot.Machine{}, []takeaway.Zone{}
		for i := range v.farm.Pivots {
			machines = append(machines, &v.farm.Pivots[i].Machine)
		}
		for i := range v.farm.Zones {
			z := &v.farm.Zones[i]
			zones = append(zones, takeaway.Zone{Name: z.Name, Soil: z.Soil, Area: z.Area})
		}
		return takeaway.WriteMap(b, answer, machines, zones)
	}})
	return p.put(list...)
}

// mostCalendarBytes is more than any calendar of ours has.
const mostCalendarBytes = 4 << 20

// formerCalendar is the text of the file that is to be written over; nil where there
// is none, or none that could be a calendar of ours.
func formerCalendar(name string) []byte {
	info, err := os.Stat(name)
	if err != nil || !info.Mode().IsRegular() || info.Size() > mostCalendarBytes {
		return nil
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil
	}
	return text
}

// cuts are the next planned cuts of the fields to be shown.
func (v view) cuts(season *fields.Season, field func(string) bool) []takeaway.Cut {
	list := []takeaway.Cut{}
	for i := range v.farm.Fields {
		fd := &v.farm.Fields[i]
		if !field(fd.Name) {
			continue
		}
		for _, d := range v.farm.CutsAhead(i, season.Today) {
			list = append(list, takeaway.Cut{Field: fd.Name, Date: d, DryDays: fd.DryDays, LastWater: v.farm.StartOfDay(d.AddDays(-fd.DryDays))})
		}
	}
	return list
}

// statusPage writes the page of a status. The days ahead on it get no water.
func (p *program) statusPage(v view, f *statusFlags, season *fields.Season, answer *report.Status) error {
	facts, err := v.statusFacts(season, answer)
	if err != nil {
		return &failure{fmt.Errorf("setting the page: %w", err), ""}
	}
	keepPivots(facts, v.pivotOf(f.field))
	return p.put(f.page.outputs(facts)...)
}

func (v view) statusFacts(season *fields.Season, answer *report.Status) (*page.Args, error) {
	ahead := season.Ahead(v.now, defaultDays)
	facts, err := v.pageFacts(page.Standing, season, &ahead, nil, nil)
	if err != nil {
		return nil, err
	}
	facts.Status = answer
	return facts, nil
}

// seasonPage writes the page of a season's books. No day ahead is on it.
func (p *program) seasonPage(v view, f *seasonFlags, season *fields.Season, answer *report.Season) error {
	facts, err := v.seasonFacts(season, answer)
	if err != nil {
		return &failure{fmt.Errorf("setting the page: %w", err), ""}
	}
	keepPivots(facts, v.pivotOf(f.field))
	return p.put(f.page.outputs(facts)...)
}

func (v view) seasonFacts(season *fields.Season, answer *report.Season) (*page.Args, error) {
	v.now = v.farm.StartOfDay(season.Today)
	ahead := season.Ahead(v.now, defaultDays) // the crop of this morning is that of every page
	facts, err := v.pageFacts(page.WaterBook, season, &ahead, nil, nil)
	if err != nil {
		return nil, err
	}
	facts.Season, facts.Outlook, facts.Use = answer, nil, nil
	facts.Weather = slices.DeleteFunc(facts.Weather, func(d page.WeatherDay) bool { return d.Ahead })
	for i := range facts.Pivots {
		for z := range facts.Pivots[i].Zones {
			zone := &facts.Pivots[i].Zones[z]
			zone.Days = zone.Days[:zone.Ahead]
		}
	}
	for z := range facts.Rainfed {
		facts.Rainfed[z].Days = facts.Rainfed[z].Days[:facts.Rainfed[z].Ahead]
	}
	return facts, nil
}

// pivotOf tells which pivots are to be shown of a field; all where none is named.
func (v view) pivotOf(field string) func(string) bool {
	return func(name string) bool {
		return field == "" || v.farm.Fields[v.farm.FieldIndex(field)].Pivot == name
	}
}
