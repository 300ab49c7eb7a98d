// Weather taken over from a file from elsewhere into weather.csv.

package fields

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"slices"
	"strings"
	"time"

	"sandwick/et/input"
	"sandwick/et/weather"
	"sandwick/fields/records"
	"sandwick/fields/records/journal"
	"sandwick/fields/settings"
)

// ImportWeather takes rows over from a file, read as [imports.weather] says,
// into weather.csv, which keeps its own columns, units and dialect. Rows that
// stand there already are left alone; where the two disagree about one of the
// values that both have, every such value is a problem, and nothing is
// recorded. The rows are held against the limits that the reader of weather has.
func (r *Recording) ImportWeather(ctx context.Context, file string, text []byte, now time.Time, dry bool, taken *records.Taken) (records.Receipt, error) {
	im := weatherImport{Recording: r, file: file, text: text, taken: taken}
	if dry {
		return im.draft()
	}
	dir := r.Writer.Dir
	j, err := journal.Open(ctx, dir)
	if err != nil {
		return records.Receipt{}, fmt.Errorf("nothing was recorded: %w", err)
	}
	defer j.Close()
	receipt, err := im.draft()
	receipt.Notes = append(j.Mended(), receipt.Notes...)
	if err != nil || len(receipt.Lines) == 0 {
		return receipt, err
	}
	done := &journal.Done{Time: now, What: "the weather of " + file, File: WeatherFile, Rows: receipt.Keys}
	if err := j.Append(WeatherFile, im.dialect.LineEnd, im.added, done, nil); err != nil {
		return receipt, fmt.Errorf("nothing was recorded: %w", err)
	}
	return receipt, nil
}

type weatherImport struct {
	*Recording
	file    string
	text    []byte
	taken   *records.Taken
	dialect input.Dialect
	added   string
}

func (im *weatherImport) options(file string, c settings.Columns) weather.Options {
	return weather.Options{File: file, Mapping: c.Mapping, Location: im.Location, Site: &im.Site, HourEnding: c.HourEnding}
}

// sameFigures is within what two files may differ about one value, as a part of
// it or in its own unit: each has rounded once to its own unit.
const (
	sameFigures = 2e-3
	sameLeast   = 0.06
)

func (im *weatherImport) draft() (records.Receipt, error) {
	receipt := records.Receipt{File: WeatherFile}
	fsys := journal.Settled(os.DirFS(im.Writer.Dir))
	ours, err := fs.ReadFile(fsys, WeatherFile)
	if errors.Is(err, fs.ErrNotExist) {
		return receipt, input.Problems{{Pos: input.Pos{File: WeatherFile}, Msg: "is missing; a file with at least the header that you want is needed first"}}
	}
	if err != nil {
		return receipt, fmt.Errorf("nothing was recorded: %w", err)
	}
	theirs := im.options(im.file, im.Imports.Weather)
	read, problems := weather.Read(bytes.NewReader(im.text), theirs)
	if len(problems) > 0 {
		return receipt, problems
	}
	receipt.Doubts = read.Doubts
	rows, _, hourly, problems := weather.Rows(bytes.NewReader(im.text), theirs)
	if len(problems) > 0 {
		return receipt, problems
	}
	own := im.options(WeatherFile, im.Settings.Weather)
	counting, _ := records.CountingWeather(fsys, im.Writer.Farm, ours, im.Settings.Weather.SkipLines)
	known, header, ownHourly, problems := weather.Rows(bytes.NewReader(counting), own)
	if len(problems) > 0 {
		return receipt, problems
	}
	if hourly != ownHourly || hourly && theirs.HourEnding != own.HourEnding {
		return receipt, input.Problems{{Pos: input.Pos{File: im.file}, Msg: "its rows are not of the kind that " + WeatherFile + " has: days or hours, the hour at its beginning or its end"}}
	}
	byKey := map[string]*weather.Row{}
	for i := range known {
		byKey[known[i].Key()] = &known[i]
	}
	lay := im.layout(ours, header)
	missing := map[string]bool{}
	for i := range rows {
		row := &rows[i]
		for key := range row.Values {
			if !header.Has(key) {
				missing[key] = true
			}
		}
		old := byKey[row.Key()]
		if old == nil {
			byKey[row.Key()] = row
			line := lay.line(row)
			im.added += line
			receipt.Lines = append(receipt.Lines, strings.TrimSuffix(line, lay.LineEnd))
			im.taken.New++
			continue
		}
		at := len(problems)
		for _, key := range slices.Sorted(keysOf(row.Values)) {
			v, there := row.Values[key], old.Values[key]
			if !header.Has(key) {
				continue
			}
			if !there.Given() {
				problems = append(problems, v.Problem(fmt.Sprintf("%s has a row for %s with nothing here (line %d); fill it in by hand", WeatherFile, row.Key(), old.Cell().Pos.Line)))
				continue
			}
			mine := there.Unit().FromSI(v.Value())
			stands := there.Unit().FromSI(there.Value())
			if math.Abs(mine-stands) > leeway(key, v, there) {
				problems = append(problems, v.Problem(fmt.Sprintf("disagrees with %s, which has %s on %s (line %d); mend one of them", WeatherFile, there.Text, row.Key(), there.Pos.Line)))
			}
		}
		if len(problems) == at {
			im.taken.Known++
		}
	}
	for _, key := range slices.Sorted(keysOf(missing)) {
		receipt.Notes = append(receipt.Notes, fmt.Sprintf("%s has no column for %s: these values were not taken over", WeatherFile, key))
	}
	if len(problems) > 0 || im.added == "" {
		problems.Sort()
		return receipt, problems.Err()
	}
	im.dialect = lay.Dialect
	end := func(text []byte) []byte {
		if len(text) > 0 && text[len(text)-1] != lay.LineEnd[len(lay.LineEnd)-1] {
			return append(slices.Clip(text), lay.LineEnd...)
		}
		return slices.Clip(text)
	}
	whole := end(ours)
	receipt.Keys, problems = im.Writer.WeatherKeys(append(whole, im.added...), len(whole))
	if len(problems) > 0 {
		return receipt, problems
	}
	_, before := weather.Read(bytes.NewReader(counting), own)
	_, after := weather.Read(bytes.NewReader(append(end(counting), im.added...)), own)
	if len(after) > len(before) {
		return receipt, after
	}
	return receipt, nil
}

// leeway is how far a value may be off the one in weather.csv, in its unit: not
// at all where both are in the same unit.
func leeway(key string, v, there input.Number) float64 {
	if v.Unit() == there.Unit() {
		return 1e-9
	}
	least := sameLeast
	if key == "rain" && there.Unit().Suffix == "in" {
		least = sameLeast / 10 // gauges are read to a hundredth of an inch
	}
	return max(sameFigures*math.Abs(there.Unit().FromSI(there.Value())), least)
}

func keysOf[V any](m map[string]V) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// weatherLayout is how weather.csv is written.
type weatherLayout struct {
	input.Dialect
	columns []*input.Column // nil: not read
	loc     *time.Location
}

func (im *weatherImport) layout(text []byte, h input.Header) weatherLayout {
	for range im.Settings.Weather.SkipLines {
		_, text, _ = bytes.Cut(text, []byte("\n"))
	}
	l := weatherLayout{Dialect: input.DialectOf(text), loc: im.Location}
	for _, name := range l.Split(input.HeaderLine(text)) {
		var col *input.Column
		for i := range h.Columns {
			if strings.EqualFold(h.Columns[i].Name, name) {
				col = &h.Columns[i]
			}
		}
		l.columns = append(l.columns, col)
	}
	return l
}

func (l *weatherLayout) line(row *weather.Row) string {
	cells := make([]string, len(l.columns))
	for i, c := range l.columns {
		if c == nil {
			continue
		}
		switch v := row.Values[c.Key]; {
		case c.Key == "date":
			cells[i] = row.Date.Value().String()
		case c.Key == "time":
			cells[i] = records.Clock(row.Time.Value(), l.loc)
		case v.Given():
			cells[i] = l.Number(v.Quantity().In(c.Unit))
		}
	}
	return l.Line(cells)
}

// ImportText reads the file that is to be taken over.
func ImportText(file string) ([]byte, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, input.Problems{{Pos: input.Pos{File: path.Clean(file)}, Msg: "cannot be read: " + errors.Unwrap(err).Error()}}
	}
	return text, nil
}
