// How a table is written, so that a row added to it looks like the others.

package input

import (
	"bytes"
	"encoding/csv"
	"strings"
)

// Dialect is the way in which a table separates and ends what it holds.
type Dialect struct {
	Separator    rune
	LineEnd      string
	DecimalComma bool // numbers are written 12,5
}

// DefaultDialect is that of a file of our own.
var DefaultDialect = Dialect{Separator: ',', LineEnd: "\n"}

// DialectOf finds the dialect of a table from its text, or from the first part
// of it that ends with a whole line. An empty text has the default dialect.
func DialectOf(text []byte) Dialect {
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	d := DefaultDialect
	switch i := bytes.IndexByte(text, '\n'); {
	case i > 0 && text[i-1] == '\r':
		d.LineEnd = "\r\n"
	case i < 0 && bytes.IndexByte(text, '\r') >= 0:
		d.LineEnd = "\r" // as old spreadsheets end lines
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	d.Separator = separator(text)
	if d.Separator == ',' {
		return d
	}
	// Where semicolons separate, the comma is free to mark decimals and, unless
	// the rows show the contrary, does.
	d.DecimalComma = d.Separator == ';'
	c := newRawReader(text, "", 0)
	for {
		cells, err := c.next()
		if err != nil {
			return d
		}
		for _, cell := range cells {
			if !strings.ContainsAny(cell, ".,") {
				continue
			}
			if _, err := ParseNumber(pointFromComma(cell)); err == nil {
				d.DecimalComma = strings.Contains(cell, ",")
				return d
			}
		}
	}
}

// Line writes one row, line end included. What the dialect cannot hold bare
// stands in quotes.
func (d Dialect) Line(cells []string) string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Comma = d.Separator
	// Errors come from the separator or from writing: neither can be here.
	_ = w.Write(cells)
	w.Flush()
	line := strings.TrimSuffix(b.String(), "\n")
	if len(cells) > 0 && strings.HasPrefix(line, string(comment)) { // it would be taken for a remark
		line = `"` + cells[0] + `"` + line[len(cells[0]):]
	}
	return line + d.LineEnd
}

// Number writes a number as the dialect does, from text with a decimal point.
func (d Dialect) Number(text string) string {
	if d.DecimalComma {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// PlainCell brings a cell's text into the one form that does not depend on the
// dialect or on the program that saved the file last: a number with a decimal
// point and without idle zeros, a date with hyphens.
func PlainCell(text string) string {
	if v, err := ParseNumber(pointFromComma(text)); err == nil && len(text) <= maxPlainDigits {
		return formatPlain(v)
	}
	if d, err := ParseDate(text); err == nil {
		return d.String()
	}
	return text
}

// HeaderLine is a text up to the end of its first line that holds anything.
func HeaderLine(text []byte) []byte {
	n := 0
	for line := range bytes.SplitAfterSeq(text, []byte("\n")) {
		n += len(line)
		if b := bytes.TrimSpace(bytes.TrimPrefix(line, []byte("\xef\xbb\xbf"))); len(b) > 0 && b[0] != comment {
			break
		}
	}
	text = text[:n]
	if i := bytes.IndexByte(text, '\r'); i >= 0 && bytes.IndexByte(text, '\n') < 0 { // lines ended by it alone
		text = text[:i+1]
	}
	return text
}

// Split gives the cells of one line, a header as [HeaderLine] gives it, without
// the space around them; nil for a line whose quotes are wrong.
func (d Dialect) Split(line []byte) []string {
	line = bytes.TrimPrefix(line, []byte("\xef\xbb\xbf"))
	r := newRawReader(bytes.TrimRight(line, "\r\n"), "", 0)
	r.csv.Comma = d.Separator
	r.csv.TrimLeadingSpace = d.Separator != '\t'
	cells, err := r.next()
	if err != nil {
		return nil
	}
	return cells
}
