// sandwick record undo: rows taken back, nothing erased.
package main

import (
	"errors"
	"fmt"
	"strings"

	"sandwick/et/input"
	"sandwick/fields/records"

	"github.com/spf13/cobra"
)

const undoLong = `Take rows back. Nothing is erased: the row stays in its file, a line in records/undone.csv
says that it no longer counts, and everything is reckoned without it. Rows written by
hand can be taken back too, and days of weather.csv: an import of weather is undone like
any record. To put a row back, record it again.

Forms:
  sandwick record undo                       what was recorded last
  sandwick record undo rain                  the last row of the rain that counts
  sandwick record undo rain 2025-06-12       the row in which all these words stand
  sandwick record undo pass --line 14        the row of this line
  sandwick record undo weather 2025-06-12    a day of weather.csv`

// recordKinds are the kinds of record as they are called here, with their files.
var recordKinds = []struct{ kind, file string }{
	{"rain", records.RainFile},
	{"pass", records.PassesFile},
	{"probe", records.ProbesFile},
	{"water-table", records.WaterTableFile},
	{"cut", records.CutsFile},
	{"meter", records.MetersFile},
	{"seen", records.SeenFile},
}

func (p *program) recordUndoCommand() *cobra.Command {
	var f recordFlags
	line := 0
	kinds := []string{"weather"}
	for _, k := range recordKinds {
		kinds = append(kinds, k.kind)
	}
	cmd := &cobra.Command{
		Use:       "undo [KIND [WORDS...]]",
		Short:     "take rows back; nothing is erased",
		Long:      undoLong,
		Example:   "  sandwick record undo --farm myfarm\n  sandwick record undo rain 2025-06-12",
		ValidArgs: kinds,
		RunE: func(cmd *cobra.Command, args []string) error {
			d, err := p.desk()
			if err != nil {
				return err
			}
			file := ""
			if len(args) > 0 {
				for _, k := range recordKinds {
					if k.kind == args[0] || k.file == args[0] {
						file = k.file
					}
				}
				if args[0] == "weather" || args[0] == records.WeatherFile {
					file = records.WeatherFile
				}
				if file == "" {
					return unknownName("record", args[0], kinds)
				}
			} else if line != 0 {
				return usage(errors.New("--line needs a kind of record"), "like `record undo rain --line 14`")
			}
			choose := func(s *records.Standing) ([]records.Row, error) {
				if file == "" {
					rows, _, err := s.Last()
					if err != nil {
						return nil, &failure{err, "name the row: `sandwick record undo --help` tells how"}
					}
					return rows, nil
				}
				return chosen(s, file, args[1:], line)
			}
			rows, receipt, err := d.Writer.Undo(cmd.Context(), d.now, f.note, choose, f.dry)
			if err != nil {
				var u *usageError
				var no *failure
				if errors.As(err, &u) || errors.As(err, &no) {
					return err
				}
			}
			if err := d.received(receipt, err); err != nil {
				return err
			}
			for i, r := range rows {
				if i == mostTold {
					fmt.Fprintf(p.stdout, "  (and %d more)\n", len(rows)-i)
					break
				}
				fmt.Fprintf(p.stdout, "no longer counts: %s:%d: %s\n", records.Place(r.File), r.Line, r.Text)
			}
			d.told(f, receipt)
			return nil
		},
	}
	f.defineNote(cmd)
	cmd.Flags().IntVar(&line, "line", 0, "the row of this line of its file, `N`")
	must(cmd.RegisterFlagCompletionFunc("line", cobra.NoFileCompletions))
	return cmd
}

// chosen finds the one row that is meant: the last, or that of a line, or the
// one in which all words stand.
func chosen(s *records.Standing, file string, words []string, line int) ([]records.Row, error) {
	full := records.Place(file)
	var rows []records.Row
	var row records.Row
	ok := true
	switch {
	case len(words) == 0 && line == 0:
		if row, ok = s.LastRow(file); ok {
			return []records.Row{row}, nil
		}
	case line > 0:
		if row, ok = s.At(file, line); ok {
			rows = []records.Row{row}
		}
		ok = true
	default:
		rows = s.Rows(file)
		ok = len(rows) > 0
	}
	if !ok {
		return nil, &failure{fmt.Errorf("%s has no row that counts", full), ""}
	}
	var found []records.Row
	for _, r := range rows {
		fits := true
		for _, w := range words {
			fits = fits && hasWord(r, w)
		}
		if fits {
			found = append(found, r)
		}
	}
	switch {
	case len(found) == 1:
		return found, nil
	case len(found) == 0 && line > 0:
		return nil, &failure{fmt.Errorf("line %d of %s is no row that counts and fits", line, full), ""}
	case len(found) == 0:
		return nil, &failure{fmt.Errorf("no row of %s that counts has %s", full, quoteList(words)), ""}
	}
	var lines strings.Builder
	for i, r := range found {
		if i == mostProblems {
			fmt.Fprintf(&lines, "\n  (and %d more)", len(found)-i)
			break
		}
		fmt.Fprintf(&lines, "\n  %s:%d: %s", full, r.Line, r.Text)
	}
	return nil, usage(fmt.Errorf("%d rows fit:%s", len(found), lines.String()), "add words or say which with --line")
}

// hasWord tells whether a word, or a name of several, stands in a row: the whole
// of a cell or one of its words, or the day of a time.
func hasWord(r records.Row, word string) bool {
	want := strings.ToLower(input.PlainCell(word))
	for _, cell := range r.Words() {
		cell = strings.ToLower(cell)
		if cell == want || strings.HasPrefix(cell, want+"t") {
			return true
		}
		for _, w := range strings.Fields(cell) {
			if w == want {
				return true
			}
		}
	}
	return false
}
