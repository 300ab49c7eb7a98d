// sandwick record: what was measured and done, without opening an editor.
package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/records"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const recordLong = `Write down what was measured and done. Each form adds a row to a file in records/, says
what it understood, and is on the disk before it says so. The files are plain CSV and
keep the columns, units and separators that they have; rows written by hand are as good.

Forms:
  sandwick record rain PLACE AMOUNT          a gauge, by field or pivot: North mint 0.4in
  sandwick record pass PIVOT                 what a machine did, or has just begun to do
  sandwick record probe ZONE FROM-TO READING soil water: Ridge 0-2ft 45% available
  sandwick record water-table PIPE DEPTH     below ground: P1 3ft 2in
  sandwick record cut FIELD                  a cutting: North mint --oil 310lb
  sandwick record meter WELL READING         a totaliser: Home well 84211000gal
  sandwick record seen ZONE wilted|green|wet what the ground or the crop looked like
  sandwick record undo                       take the last back: nothing is erased
  sandwick record import rain|weather|passes FILE

Names need no quotes, and capitals do not matter. Quantities carry their unit: 0.4in,
10mm, 3ft 2in, 1 1/2 in. The day is today, or --date. --dry-run says what would be
written and writes nothing.`

// recordFlags mean the same for every kind of record.
type recordFlags struct {
	date, note string
	dry        bool
	whole      bool // the first argument is the whole name, as a form has it
}

// name is [name] of these arguments. Where the name is not known, rest are the
// arguments after it if they can be told apart from it, else nil.
func (f *recordFlags) name(kind string, args, known []string) (found string, rest []string, err error) {
	if !f.whole || len(args) == 0 {
		return name(kind, args, known)
	}
	found, _, err = name(kind, args[:1], known)
	return found, args[1:], err
}

func (f *recordFlags) define(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.date, "date", "", "the `DATE` it happened: 2025-06-14, today or yesterday (default today)")
	f.defineNote(cmd)
	must(cmd.RegisterFlagCompletionFunc("date", cobra.NoFileCompletions))
}

func (f *recordFlags) defineNote(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.note, "note", "", "a remark, any `TEXT`")
	f.defineDry(cmd)
	must(cmd.RegisterFlagCompletionFunc("note", cobra.NoFileCompletions))
}

func (f *recordFlags) defineDry(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.dry, "dry-run", false, "say what would be written, and write nothing")
}

func (p *program) recordCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "record",
		Short:   "write down what was measured and done",
		Long:    recordLong,
		Example: "  sandwick record rain North mint 0.4in --farm myfarm\n  sandwick record pass North pivot --timer 42",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return unknownName("record", args[0], commandNames(cmd))
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(
		p.recordRainCommand(),
		p.recordPassCommand(),
		p.recordProbeCommand(),
		p.recordWaterTableCommand(),
		p.recordCutCommand(),
		p.recordMeterCommand(),
		p.recordSeenCommand(),
		p.recordUndoCommand(),
		p.recordImportCommand(),
	)
	return cmd
}

// desk is a farm opened for recording, at a moment.
type desk struct {
	*fields.Recording
	p     *program
	now   time.Time
	units units.System
	warn  func(format string, args ...any) // tells what was taken for granted
}

func (p *program) desk() (*desk, error) {
	r, problems := fields.OpenRecording(p.common.farm)
	if len(problems) > 0 {
		return nil, usage(problems, "`sandwick check` looks at every file of the farm")
	}
	if p.common.today == "" {
		p.problems("warning", r.Pinned)
	}
	now, err := p.common.moment(p.now(), r.Today, r.Location)
	if err != nil {
		return nil, err
	}
	d := &desk{r, p, now, units.SI, p.warnf}
	if r.US {
		d.units = units.US
	}
	if p.common.units != "" {
		if d.units, err = p.common.system(); err != nil {
			return nil, err
		}
	}
	return d, nil
}

// day is the date of a record.
func (d *desk) day(text string) (civil.Date, error) {
	today := civil.DateOf(d.now)
	switch text {
	case "", "today":
		return today, nil
	case "yesterday":
		return today.AddDays(-1), nil
	}
	day, err := input.ParseDate(text)
	if err != nil {
		return day, about("date", usage(fmt.Errorf("--date: %w (got %q)", err, text), "today and yesterday are understood too"))
	}
	if day.After(today) {
		return day, about("date", usage(fmt.Errorf("--date: %v is after today, %v", day, today), "records are of what has happened; --today takes another day for today"))
	}
	return day, nil
}

// name takes the name of one of the known things off the front of the
// arguments: as many words as make one. Where there is only one thing of the
// kind it may be left out if the arguments go on with a number.
func name(kind string, args, known []string) (string, []string, error) {
	for n := len(args); n > 0; n-- {
		words := strings.Join(args[:n], " ")
		for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
			if i := slices.IndexFunc(known, func(k string) bool { return same(k, words) }); i >= 0 {
				return known[i], args[n:], nil
			}
		}
	}
	if len(known) == 1 && (len(args) == 0 || strings.ContainsAny(args[0][:min(1, len(args[0]))], "0123456789.")) {
		return known[0], args, nil
	}
	if len(known) == 0 {
		if kind == "pipe" {
			return "", nil, about(kind, usage(errors.New("this farm has no pipe"), fmt.Sprintf(`add "pipe": %q and "water_table_date" to the zones in zones.geojson that follow it`, strings.Join(args[:min(1, len(args))], " "))))
		}
		return "", nil, about(kind, usage(fmt.Errorf("this farm has no %s", kind), "farm.toml names wells, pivots and fields, zones.geojson zones and their pipes"))
	}
	if len(args) == 0 {
		return "", nil, about(kind, usage(fmt.Errorf("no %s named", kind), "known: "+quoteList(known)))
	}
	// The words before the first number are the name that was meant.
	meant := args
	if i := slices.IndexFunc(args, func(a string) bool { return a != "" && a[0] >= '0' && a[0] <= '9' }); i > 0 {
		meant = args[:i]
	}
	return "", nil, about(kind, unknownName(kind, strings.Join(meant, " "), slices.Clone(known)))
}

// amount reads a quantity from the arguments that are left.
func amount(what string, words []string, dim input.Dimension) (input.Quantity, error) {
	text, err := thousands(strings.Join(words, " "))
	if err != nil {
		return input.Quantity{}, about(strings.TrimPrefix(what, "--"), usage(fmt.Errorf("%s: %w", what, err), ""))
	}
	q, err := input.ParseQuantity(text, dim)
	if err != nil {
		if text != "" {
			err = fmt.Errorf("%w (got %q)", err, text)
		}
		return q, about(strings.TrimPrefix(what, "--"), usage(fmt.Errorf("%s: %w", what, err), ""))
	}
	return q, nil
}

// amount reads a quantity into a row. No words at all follow a name that is not
// known: then nothing is read.
func (d *desk) amount(wrong *faults, row records.Entry, what string, words []string, dim input.Dimension) input.Quantity {
	if words == nil && len(*wrong) > 0 {
		return input.Quantity{}
	}
	q, err := amount(what, words, dim)
	if wrong.add(err) {
		row[strings.TrimPrefix(what, "--")] = records.Amount(q)
	}
	return q
}

// dayOf reads the date of a record into its row.
func (d *desk) dayOf(wrong *faults, row records.Entry, text string) civil.Date {
	day, err := d.day(text)
	if wrong.add(err) {
		row["date"] = records.Word(day.String())
	}
	return day
}

// commas is a number with commas between its thousands.
var commas = regexp.MustCompile(`^-?\d{1,3}((?:,\d{3})+)(\.\d+)?`)

// thousands takes the commas out of a number that can be read in one way only; a
// single comma may be a decimal one.
func thousands(text string) (string, error) {
	m := commas.FindStringSubmatch(text)
	if m == nil {
		return text, nil
	}
	plain := strings.ReplaceAll(m[0], ",", "")
	if len(m[1]) == len(",000") && m[2] == "" {
		return text, fmt.Errorf("a comma may stand for thousands or for a decimal point; write %s or %s (got %q)", plain, strings.Replace(m[0], ",", ".", 1), text)
	}
	return plain + text[len(m[0]):], nil
}

// both words a quantity in the units that it was not typed in as well.
func both(q units.Quantity, s units.System, si float64) string {
	other := units.US
	if s == units.US {
		other = units.SI
	}
	return fmt.Sprintf("%s (%s)", q.Text(s, si), q.Text(other, si))
}

// entry puts a note to a row, if there is one.
func (f *recordFlags) entry(row records.Entry) records.Entry {
	if f.note != "" {
		row["note"] = records.Word(f.note)
	}
	return row
}

// deed is a record as it was understood, not yet written: its rows, and a line
// for each that says so.
type deed struct {
	batch records.Batch
	echo  []string
}

// record writes rows and tells what was understood.
func (d *desk) record(ctx context.Context, f recordFlags, done deed) error {
	receipt, err := d.Writer.Record(ctx, done.batch, d.now, f.dry)
	if err := d.received(receipt, err); err != nil {
		return err
	}
	for _, line := range done.echo {
		fmt.Fprintln(d.p.stdout, line)
	}
	d.told(f, receipt)
	return nil
}

// received turns the outcome of writing into what a person is told of it.
func (d *desk) received(r records.Receipt, err error) error {
	for _, n := range r.Notes {
		d.p.warnf("%s", n)
	}
	var problems input.Problems
	switch {
	case err == nil:
	case errors.As(err, &problems):
		for i := range problems { // those of files of the farm
			if strings.HasPrefix(problems[i].File, records.Dir+"/") {
				problems[i].File = filepath.Join(d.p.common.farm, filepath.FromSlash(problems[i].File))
			}
		}
		hint := "nothing was recorded"
		for i := range problems {
			if strings.Contains(problems[i].Msg, "has another reading of this day") {
				hint += "; `sandwick record undo water-table` takes the last reading back"
				break
			}
		}
		return usage(problems, hint)
	case errors.Is(err, context.Canceled):
		return err
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return &failure{err, "the disk is full: make room and record it again"}
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return &failure{err, "may you write in this folder? its files are as they were"}
	default:
		return &failure{err, ""}
	}
	d.p.problems("warning", r.Doubts)
	return nil
}

// mostTold is how many rows are told one by one.
const mostTold = 20

// told says where rows are, or where they would be.
func (d *desk) told(f recordFlags, r records.Receipt) {
	file := filepath.Join(d.p.common.farm, filepath.FromSlash(r.File))
	if !f.dry {
		fmt.Fprintf(d.p.stdout, "recorded in %s\n", file)
		return
	}
	fmt.Fprintf(d.p.stdout, "dry run: nothing was written; %s would get\n", file)
	for i, line := range r.Lines {
		if i == mostTold {
			fmt.Fprintf(d.p.stdout, "  (and %d more)\n", len(r.Lines)-i)
			break
		}
		fmt.Fprintln(d.p.stdout, "  "+line)
	}
}

// completeRecordNames offers names of one kind for the first words.
func (p *program) completeRecordNames(names func(*fields.Recording) []string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		r, problems := fields.OpenRecording(p.common.farm)
		if len(problems) > 0 {
			return nil, cobra.ShellCompDirectiveError
		}
		return names(r), cobra.ShellCompDirectiveNoFileComp
	}
}
