// The text of a comma-separated file as records whose cells know their place.

package input

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// What a file may be at most. Thirty years of five-minute rows is 160 MB; of
// hourly rows, 16 MB. A longer line than this is not a row of a table.
const (
	MaxFileBytes = 64 << 20
	MaxLineBytes = 64 << 10
)

// load reads the whole text, without byte order mark, with \n line ends. The
// error is a message for people.
func load(r io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, MaxFileBytes+1))
	if err != nil {
		return nil, fmt.Errorf("cannot be read: %w", err)
	}
	if len(text) > MaxFileBytes {
		return nil, fmt.Errorf("larger than %d MB; split the file", MaxFileBytes>>20)
	}
	if bytes.HasPrefix(text, []byte("\xff\xfe")) || bytes.HasPrefix(text, []byte("\xfe\xff")) {
		return nil, errors.New("UTF-16 text; save the file as UTF-8")
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	if bytes.IndexByte(text, '\n') < 0 {
		// Lines ended by a carriage return alone, as old spreadsheets write them.
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	return text, nil
}

// skipLines drops the first n lines and tells whether there were as many.
func skipLines(text []byte, n int) ([]byte, bool) {
	for range n {
		i := bytes.IndexByte(text, '\n')
		if i < 0 {
			return nil, false
		}
		text = text[i+1:]
	}
	return text, true
}

// longLine gives the number of the first line over [MaxLineBytes], or 0.
func longLine(text []byte) int {
	for line := 1; len(text) > 0; line++ {
		n := bytes.IndexByte(text, '\n')
		if n < 0 {
			n = len(text)
		}
		if n > MaxLineBytes {
			return line
		}
		text = text[min(n+1, len(text)):]
	}
	return 0
}

// separator finds what separates the columns: of comma, semicolon and tab the
// one most often outside quotes in the first line that is neither blank nor a
// comment; a comma when there is none of them.
func separator(text []byte) rune {
	for line := range bytes.Lines(text) {
		if line = bytes.TrimRight(line, "\r\n"); len(bytes.TrimSpace(line)) == 0 || line[0] == comment {
			continue
		}
		count, quoted := map[byte]int{}, false
		for _, c := range line {
			if c == '"' {
				quoted = !quoted
			} else if !quoted {
				count[c]++
			}
		}
		best := byte(',')
		for _, c := range []byte{';', '\t'} {
			if count[c] > count[best] {
				best = c
			}
		}
		return rune(best)
	}
	return ','
}

// comment starts a line that is not read.
const comment = '#'

// rawReader gives the records of a file one by one.
type rawReader struct {
	csv     *csv.Reader
	file    string
	skipped int // lines before the first
	columns int // of the header; 0 while it is not known
	lines   int
}

func newRawReader(text []byte, file string, skipped int) *rawReader {
	c := csv.NewReader(bytes.NewReader(text))
	c.Comma = separator(text)
	c.Comment = comment
	c.FieldsPerRecord = -1
	c.TrimLeadingSpace = c.Comma != '\t' // it would take empty cells for space
	return &rawReader{csv: c, file: file, skipped: skipped, lines: bytes.Count(text, []byte{'\n'})}
}

// decimalComma tells whether 12,5 is a number here.
func (r *rawReader) decimalComma() bool { return r.csv.Comma != ',' }

// pos is the place of one cell of the record read last.
func (r *rawReader) pos(cell int) Pos {
	line, col := r.csv.FieldPos(cell)
	return Pos{r.file, line + r.skipped, col}
}

// next gives the next record that holds anything, with surrounding space cut
// off every cell. The error is io.EOF at the end or a Problem with the quotes
// of one record, after which reading can go on.
func (r *rawReader) next() ([]string, error) {
	for {
		record, err := r.csv.Read()
		if err == io.EOF {
			return nil, io.EOF
		}
		if err != nil {
			return nil, r.problem(err)
		}
		blank := true
		for i, text := range record {
			record[i] = strings.TrimSpace(text)
			blank = blank && record[i] == ""
		}
		if !blank {
			return record, nil
		}
	}
}

// problem words an error of encoding/csv for people.
func (r *rawReader) problem(err error) Problem {
	p := Problem{Pos: Pos{File: r.file}, Msg: err.Error()}
	parse, ok := errors.AsType[*csv.ParseError](err)
	if !ok {
		return p
	}
	p.Line, p.Column = parse.Line+r.skipped, parse.Column
	switch {
	case errors.Is(err, csv.ErrQuote) && parse.StartLine != parse.Line:
		p.Line, p.Column = parse.StartLine+r.skipped, 0
		p.Msg = "a quote opened in this row is never closed; close it, or double every quote that belongs to the text"
	case errors.Is(err, csv.ErrQuote), errors.Is(err, csv.ErrBareQuote):
		p.Msg = `a quote in the wrong place; put quotes around the whole cell and double those that belong to the text, like "the ""high"" end"`
	}
	return p
}
