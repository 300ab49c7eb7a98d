// Rows of weather.csv taken back. It is no file of records, but rows are taken over
// into it, and a line in undone.csv says of one that it no longer counts. It is
// read here by its header alone: which columns mean what is of no matter.

package records

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io/fs"
	"slices"
	"strings"

	"sandwick/et/input"
)

// WeatherFile is the station's record, in the farm folder.
const WeatherFile = "weather.csv"

// textRow is a row of a table, and where its text begins and ends.
type textRow struct {
	key      string
	line     int
	from, to int
}

// textRows are the rows of a table that begins after so many lines, as far as they
// can be told apart.
func textRows(text []byte, skip int) []textRow {
	at := len(text) - len(bytes.TrimPrefix(text, bom))
	for range skip {
		at = lineAfter(text, at)
	}
	body := text[at:]
	if bytes.IndexByte(body, '\n') < 0 {
		body = bytes.ReplaceAll(body, []byte("\r"), []byte("\n"))
	}
	c := csv.NewReader(bytes.NewReader(body))
	c.Comma, c.Comment, c.FieldsPerRecord = input.DialectOf(body).Separator, '#', -1
	c.TrimLeadingSpace = c.Comma != '\t'
	var rows []textRow
	var header []string
	for {
		from := int(c.InputOffset())
		cells, err := c.Read()
		if err != nil {
			return rows
		}
		key := ""
		for i, cell := range cells {
			cell = strings.Join(strings.Fields(input.PlainCell(strings.TrimSpace(cell))), " ")
			switch {
			case cell == "":
				continue
			case header == nil:
				key = cell
				continue
			case key != "":
				key += "; "
			}
			if i < len(header) {
				key += strings.ToLower(strings.TrimSpace(header[i])) + "="
			}
			key += cell
		}
		switch {
		case key == "":
		case header == nil:
			header = slices.Clone(cells)
		default:
			line, _ := c.FieldPos(0)
			rows = append(rows, textRow{key, line + skip, at + from, at + int(c.InputOffset())})
		}
	}
}

// CountingWeather gives the text of weather.csv, of which skip lines come before the
// header, with those rows emptied that undone.csv takes back. Doubts are lines
// there that no row answers to.
func CountingWeather(fsys fs.FS, farm *Farm, text []byte, skip int) (counting []byte, doubts input.Problems) {
	undone, err := fs.ReadFile(fsys, undoneName)
	if err != nil || !bytes.Contains(undone, []byte(WeatherFile)) { // what is wrong with it is told with the records
		return text, nil
	}
	rd := &reader{fsys: fsys, farm: farm}
	rd.readUndone()
	taken := rd.undone[WeatherFile]
	rows := textRows(text, skip)
	counting = slices.Clone(text)
	for _, r := range rows {
		if !taken.takesKey(r.key) {
			continue
		}
		for i := r.from; i < r.to; i++ {
			if counting[i] != '\n' && counting[i] != '\r' {
				counting[i] = ' '
			}
		}
	}
	rd.doubtUndone(WeatherFile, taken)
	return counting, rd.doubts
}

// weatherRows are the rows of weather.csv that count.
func (w *Writer) weatherRows() []Row {
	text, err := fs.ReadFile(w.settled(), WeatherFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	rd := &reader{fsys: w.settled(), farm: w.Farm}
	rd.readUndone()
	taken := rd.undone[WeatherFile]
	var rows []Row
	for _, r := range textRows(text, w.WeatherSkip) {
		if !taken.takesKey(r.key) {
			rows = append(rows, Row{WeatherFile, r.line, r.key})
		}
	}
	return rows
}

// WeatherKeys are what the rows of weather.csv from an offset on are known by, and
// the problems with lines of undone.csv that would take one of them back because
// the row that they are about is gone.
func (w *Writer) WeatherKeys(text []byte, from int) (keys []string, problems input.Problems) {
	rd := &reader{fsys: w.settled(), farm: w.Farm}
	rd.readUndone()
	taken := rd.undone[WeatherFile]
	for _, r := range textRows(text, w.WeatherSkip) {
		if r.from < from {
			taken.takesKey(r.key)
			continue
		}
		keys = append(keys, r.key)
		if lines := taken[r.key]; len(lines) > 0 {
			problems = append(problems, swallows(lines[0], WeatherFile))
		}
	}
	return keys, problems
}
