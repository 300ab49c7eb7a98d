// sandwick record rain, probe, water-table, cut, meter and seen.
package main

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/records"

	"github.com/spf13/cobra"
)

// reading makes the command of one kind of record that is a name and a value.
func (p *program) reading(use, short, long, example string, f *recordFlags, names func(*fields.Recording) []string,
	understand func(ctx context.Context, d *desk, args []string) (deed, error)) *cobra.Command {
	cmd := &cobra.Command{
		Use: use, Short: short, Long: long, Example: example,
		ValidArgsFunction: p.completeRecordNames(names),
		RunE: func(cmd *cobra.Command, args []string) error {
			d, err := p.desk()
			if err != nil {
				return err
			}
			done, err := understand(cmd.Context(), d, args)
			if err != nil {
				return err
			}
			return d.record(cmd.Context(), *f, done)
		},
	}
	f.define(cmd)
	return cmd
}

func rainPlaces(r *fields.Recording) []string { return slices.Concat(r.FieldNames(), r.PivotNames()) }

func (p *program) recordRainCommand() *cobra.Command {
	var f recordFlags
	everywhere := false
	cmd := p.reading("rain PLACE AMOUNT", "a rain gauge", `The reading of a rain gauge: a field or a pivot, and a depth. On a farm with one field
the place may be left out.

Forms:
  sandwick record rain North mint 0.4in
  sandwick record rain North mint 10mm --date yesterday --note "before the storm"
  sandwick record rain 0.4in --everywhere    one gauge for the whole farm: a row a field`,
		"  sandwick record rain North mint 0.4in --farm myfarm", &f, rainPlaces,
		func(_ context.Context, d *desk, args []string) (deed, error) { return d.rain(&f, args, everywhere) })
	cmd.Flags().BoolVar(&everywhere, "everywhere", false, "the same for every field of the farm")
	return cmd
}

// rain understands what a rain gauge showed.
func (d *desk) rain(f *recordFlags, args []string, everywhere bool) (deed, error) {
	var wrong faults
	places := d.FieldNames()
	if !everywhere {
		known := rainPlaces(d.Recording)
		if len(places) == 1 && len(args) > 0 && args[0] != "" && strings.ContainsAny(args[0][:1], "0123456789.") {
			known = places
		}
		place, rest, err := f.name("place", args, known)
		wrong.add(err)
		places, args = []string{place}, rest
	}
	row := f.entry(records.Entry{})
	q := d.amount(&wrong, row, "amount", args, input.Depth)
	day := d.dayOf(&wrong, row, f.date)
	row["place"] = records.Word(places[0])
	if d.alone(&wrong, records.RainFile, row); len(wrong) > 0 {
		return deed{}, wrong.err()
	}
	b := records.Batch{File: records.RainFile}
	var echo []string
	for _, place := range places {
		row := maps.Clone(row)
		row["place"] = records.Word(place)
		b.Rows = append(b.Rows, row)
		echo = append(echo, fmt.Sprintf("rain of %v at %s: %s", day, place, both(units.Depth, d.units, q.SI)))
	}
	b.What = "the " + strings.Join(echo, ", the ")
	return deed{b, echo}, nil
}

func (p *program) recordProbeCommand() *cobra.Command {
	var f recordFlags
	return p.reading("probe ZONE FROM-TO READING", "soil water by a probe or by hand", `Soil water of a zone over a range of depth below ground. The reading is percent of the
ground's volume (water), percent of what the ground holds for the crop (available), or
suction.

Forms:
  sandwick record probe Ridge 0-2ft 45% available
  sandwick record probe Ridge 20-60cm 12% water
  sandwick record probe Ridge 1-1.5ft 25kPa`,
		"  sandwick record probe Ridge 0-2ft 45% available --farm myfarm", &f,
		func(r *fields.Recording) []string { return r.Writer.Farm.Zones },
		func(_ context.Context, d *desk, args []string) (deed, error) { return d.probe(&f, args) })
}

// probe understands a reading of soil water.
func (d *desk) probe(f *recordFlags, args []string) (deed, error) {
	var wrong faults
	row := f.entry(records.Entry{})
	zone, rest, err := f.name("zone", args, d.Writer.Farm.Zones)
	wrong.add(err)
	row["zone"] = records.Word(zone)
	var top, bottom input.Quantity
	words := ""
	switch {
	case rest == nil && err != nil: // what follows the name is not known
	case len(rest) == 0:
		wrong.add(about("depth", usage(fmt.Errorf("no depth given"), "say from what depth to what depth the reading is, like 0-2ft, and then the reading")))
	default:
		if top, bottom, err = depthRange(rest[0]); wrong.add(about("depth", err)) {
			row["top"], row["bottom"] = records.Amount(top), records.Amount(bottom)
		} else if !f.whole {
			break // it may be left out, and this is the reading
		}
		var key string
		var q input.Quantity
		if key, q, words, err = probeReading(rest[1:]); wrong.add(about("reading", err)) {
			row[key] = records.Amount(q)
		}
	}
	day := d.dayOf(&wrong, row, f.date)
	depths, reading := part(row, "date", "zone", "top", "bottom"), part(row, "date", "zone", "available", "water", "suction")
	depths["available"] = records.Percent(50)
	reading["top"], reading["bottom"] = records.Amount(footOfSoil[0]), records.Amount(footOfSoil[1])
	if d.alone(&wrong, records.ProbesFile, depths, reading); len(wrong) > 0 {
		return deed{}, wrong.err()
	}
	echo := fmt.Sprintf("probe of %v in %s, %s to %s down: %s", day, zone,
		units.Ground.Text(d.units, top.SI), units.Ground.Text(d.units, bottom.SI), words)
	return deed{records.Batch{File: records.ProbesFile, What: "the " + echo, Rows: []records.Entry{row}}, []string{echo}}, nil
}

// footOfSoil are depths that a reading can be of on any farm.
var footOfSoil = func() (depths [2]input.Quantity) {
	for i, text := range []string{"0ft", "1ft"} {
		depths[i], _ = input.ParseQuantity(text, input.Length) // sound
	}
	return depths
}()

// depthRange reads 0-2ft: the unit of the second stands for the first too.
func depthRange(text string) (top, bottom input.Quantity, err error) {
	fail := func(why string) error {
		return usage(fmt.Errorf("depth: %s (got %q)", why, text), "write it like 0-2ft or 20-60cm")
	}
	from, to, ok := strings.Cut(text, "-")
	if !ok {
		return top, bottom, fail("not a range")
	}
	if bottom, err = input.ParseQuantity(to, input.Length); err != nil {
		return top, bottom, fail(err.Error())
	}
	if v, bare := input.ParseNumber(from); bare == nil {
		top = input.Quantity{SI: bottom.Unit.ToSI(v), Unit: bottom.Unit, Text: from}
		if bottom.Text == "" { // typed in a unit that is not kept, such as inches of depth
			unit := strings.TrimLeft(to, "0123456789. ")
			top, err = input.ParseQuantity(from+unit, input.Length)
		}
	} else {
		top, err = input.ParseQuantity(from, input.Length)
	}
	if err != nil {
		return top, bottom, fail(err.Error())
	}
	return top, bottom, nil
}

// probeReading reads 45% available, 12% water or 25kPa.
func probeReading(words []string) (key string, q input.Quantity, said string, err error) {
	text := strings.ToLower(strings.Join(words, " "))
	for _, kind := range []string{"available", "water"} {
		if rest, ok := strings.CutSuffix(text, kind); ok {
			q, err := input.ParseQuantity(rest, input.Percent)
			if err != nil {
				return "", q, "", usage(fmt.Errorf("reading: %w (got %q)", err, text), "")
			}
			return kind, q, fmt.Sprintf("%s %% %s", q.In(q.Unit), kind), nil
		}
	}
	if _, err := input.ParseQuantity(text, input.Percent); err == nil {
		return "", q, "", usage(fmt.Errorf("reading: percent of what? (got %q)", text), fmt.Sprintf("add a word: `%s water` is of the ground's volume, `%s available` of what it holds for the crop", text, text))
	}
	q, err = input.ParseQuantity(text, input.Pressure)
	if err != nil {
		if text != "" {
			err = fmt.Errorf("not a reading (got %q)", text)
		} else {
			err = fmt.Errorf("none given")
		}
		return "", q, "", usage(fmt.Errorf("reading: %w", err), "write it like 45% available, 12% water or 25kPa")
	}
	return "suction", q, fmt.Sprintf("suction %s %s", q.In(q.Unit), q.Unit.Name), nil
}

func (p *program) recordWaterTableCommand() *cobra.Command {
	var f recordFlags
	return p.reading("water-table PIPE DEPTH", "depth of the water table in a pipe", `The depth of the water table below ground, read in an observation pipe. The zones that
name the pipe on the map follow it.

Forms:
  sandwick record water-table P1 3ft 2in
  sandwick record water-table P1 0.95m --date yesterday`,
		"  sandwick record water-table P1 3ft 2in --farm myfarm", &f,
		func(r *fields.Recording) []string { return r.Writer.Farm.Pipes },
		func(_ context.Context, d *desk, args []string) (deed, error) { return d.waterTable(&f, args) })
}

// waterTable understands the depth of the water table in a pipe.
func (d *desk) waterTable(f *recordFlags, args []string) (deed, error) {
	var wrong faults
	row := f.entry(records.Entry{})
	pipe, rest, err := f.name("pipe", args, d.Writer.Farm.Pipes)
	wrong.add(err)
	row["pipe"] = records.Word(pipe)
	q := d.amount(&wrong, row, "depth", rest, input.Length)
	day := d.dayOf(&wrong, row, f.date)
	if d.alone(&wrong, records.WaterTableFile, row); len(wrong) > 0 {
		return deed{}, wrong.err()
	}
	echo := fmt.Sprintf("water table of %v in pipe %s: %s below ground", day, pipe, both(units.Ground, d.units, q.SI))
	return deed{records.Batch{File: records.WaterTableFile, What: "the " + echo, Rows: []records.Entry{row}}, []string{echo}}, nil
}

func (p *program) recordCutCommand() *cobra.Command {
	var f recordFlags
	var hay, oil string
	cmd := p.reading("cut FIELD", "a cutting, and what was weighed", `A cutting of a field. The crop's curve begins anew with it. What was weighed may come
later: take the row back with `+"`record undo cut`"+` and record it again with the weights.

Forms:
  sandwick record cut North mint
  sandwick record cut North mint --hay 90000lb --oil 310lb --date 2025-07-15`,
		"  sandwick record cut North mint --oil 310lb --farm myfarm", &f,
		func(r *fields.Recording) []string { return r.FieldNames() },
		func(_ context.Context, d *desk, args []string) (deed, error) { return d.cut(&f, args, hay, oil) })
	cmd.Flags().StringVar(&hay, "hay", "", "mown hay, a `WEIGHT` such as 90000lb")
	cmd.Flags().StringVar(&oil, "oil", "", "oil distilled from it, a `WEIGHT` such as 310lb")
	must(cmd.RegisterFlagCompletionFunc("hay", cobra.NoFileCompletions))
	must(cmd.RegisterFlagCompletionFunc("oil", cobra.NoFileCompletions))
	return cmd
}

// cut understands a cutting.
func (d *desk) cut(f *recordFlags, args []string, hay, oil string) (deed, error) {
	var wrong faults
	row := f.entry(records.Entry{})
	field, rest, err := f.name("field", args, d.FieldNames())
	if wrong.add(err) && len(rest) > 0 {
		wrong.add(usage(fmt.Errorf("%q is not understood after the field", strings.Join(rest, " ")), "weights follow --hay and --oil"))
	}
	row["field"] = records.Word(field)
	day := d.dayOf(&wrong, row, f.date)
	echo := fmt.Sprintf("cut of %v in %s", day, field)
	for _, w := range []struct{ key, text string }{{"hay", hay}, {"oil", oil}} {
		if w.text == "" {
			continue
		}
		q := d.amount(&wrong, row, "--"+w.key, []string{w.text}, input.Mass)
		echo += fmt.Sprintf(", %s %s %s", w.key, q.In(q.Unit), q.Unit.Name)
	}
	if d.alone(&wrong, records.CutsFile, part(row, "date", "field", "hay"), part(row, "date", "field", "oil")); len(wrong) > 0 {
		return deed{}, wrong.err()
	}
	return deed{records.Batch{File: records.CutsFile, What: "the " + echo, Rows: []records.Entry{row}}, []string{echo}}, nil
}

func (p *program) recordMeterCommand() *cobra.Command {
	var f recordFlags
	event := ""
	cmd := p.reading("meter WELL READING", "a well's flow meter", `The reading of a well's totaliser. Without a unit it is in that of the well's reading
before. What happened to the meter goes under --event: the counter rolled over, the
meter was replaced (the reading is the new one's), or the reading is missing.

Forms:
  sandwick record meter Home well 84211000gal
  sandwick record meter Home well 84655000
  sandwick record meter Home well 120gal --event replaced
  sandwick record meter Home well --event missing`,
		"  sandwick record meter Home well 84211000gal --farm myfarm", &f,
		func(r *fields.Recording) []string { return r.WellNames() },
		func(_ context.Context, d *desk, args []string) (deed, error) { return d.meter(&f, args, event) })
	cmd.Flags().StringVar(&event, "event", "", "what happened to the meter: `rollover|replaced|missing`")
	must(cmd.RegisterFlagCompletionFunc("event", cobra.FixedCompletions([]cobra.Completion{"rollover", "replaced", "missing"}, cobra.ShellCompDirectiveNoFileComp)))
	return cmd
}

// meter understands the reading of a totaliser.
func (d *desk) meter(f *recordFlags, args []string, event string) (deed, error) {
	var wrong faults
	row := f.entry(records.Entry{})
	well, rest, err := f.name("well", args, d.WellNames())
	known := wrong.add(err)
	row["well"] = records.Word(well)
	day := d.dayOf(&wrong, row, f.date)
	unit := input.Unit{}
	if known {
		before, problems := d.Writer.LastMeter(well)
		if len(problems) > 0 {
			return deed{}, d.received(records.Receipt{}, problems)
		}
		if before != nil {
			unit = before.Unit
		}
	}
	said := "no reading"
	text, err := thousands(strings.Join(rest, " "))
	if err != nil {
		err = about("reading", usage(fmt.Errorf("reading: %w", err), ""))
	}
	plain := wrong.add(err)
	if _, bare := input.ParseNumber(text); bare == nil && unit.Suffix != "" {
		text += unit.Suffix
	}
	if plain && text != "" {
		// What is typed without a unit can only be read with that of the meter before.
		q, err := amount("reading", []string{text}, input.Volume)
		if _, bare := input.ParseNumber(text); err == nil || known || bare != nil {
			plain = wrong.add(err)
		}
		if plain && err == nil {
			unit = q.Unit
			row["reading"] = records.Number(q.In(unit))
			said = fmt.Sprintf("%s %s", q.In(unit), unit.Name)
		}
	}
	if plain && known && unit.Suffix == "" {
		wrong.add(about("reading", usage(fmt.Errorf("no unit is known for the meter of %s", well), "give the reading with its unit, like 84211000gal or 318800m3")))
	}
	if unit.Suffix != "" {
		row["unit"] = records.Word(unit.Suffix)
	}
	if event != "" {
		row["event"] = records.Word(event)
		said += ", " + event
	}
	if d.alone(&wrong, records.MetersFile, part(row, "date", "well", "unit", "reading"), part(row, "date", "well", "unit", "event")); len(wrong) > 0 {
		return deed{}, wrong.err()
	}
	echo := fmt.Sprintf("meter of %v at %s: %s", day, well, said)
	return deed{records.Batch{File: records.MetersFile, What: "the " + echo, Rows: []records.Entry{row}}, []string{echo}}, nil
}

func (p *program) recordSeenCommand() *cobra.Command {
	var f recordFlags
	return p.reading("seen ZONE wilted|green|wet", "how a zone looks", `What was seen of a zone: the crop wilted, it stayed green without water, or the ground
stood wet. These are what the program's reckoning is later held against.

Form:
  sandwick record seen Marsh edge wet`,
		"  sandwick record seen Marsh edge wet --farm myfarm", &f,
		func(r *fields.Recording) []string { return r.Writer.Farm.Zones },
		func(_ context.Context, d *desk, args []string) (deed, error) { return d.seen(&f, args) })
}

// looks are what can be seen of a zone.
var looks = []string{"wilted", "green", "wet"}

// seen understands how a zone looks.
func (d *desk) seen(f *recordFlags, args []string) (deed, error) {
	var wrong faults
	zone, rest, err := f.name("zone", args, d.Writer.Farm.Zones)
	known := wrong.add(err)
	if (known || rest != nil) && (len(rest) != 1 || !slices.Contains(looks, strings.ToLower(rest[0]))) {
		of := ""
		if known {
			of = " of " + zone
		}
		wrong.add(about("seen", usage(fmt.Errorf("what was seen%s? (got %q)", of, strings.Join(rest, " ")), "say wilted, green or wet")))
	}
	day := d.dayOf(&wrong, records.Entry{}, f.date)
	if len(wrong) > 0 {
		return deed{}, wrong.err()
	}
	look := strings.ToLower(rest[0])
	echo := fmt.Sprintf("seen on %v in %s: %s", day, zone, look)
	return deed{records.Batch{File: records.SeenFile, What: "what was " + echo, Rows: []records.Entry{f.entry(records.Entry{
		"date": records.Word(day.String()), "zone": records.Word(zone), "seen": records.Word(look),
	})}}, []string{echo}}, nil
}
